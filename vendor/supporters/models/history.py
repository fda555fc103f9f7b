"""What was chosen for each promise, and what has happened to it."""

from django.db import models

from vendor.house.models import Document
from vendor.supporters.models.promises import Commitment
from vendor.supporters.models.rules import Question


class Answer(models.Model):
    """What the supporter chose: a form, a finish, or words."""

    commitment = models.ForeignKey(Commitment, on_delete=models.CASCADE, related_name="answers")
    question = models.ForeignKey(Question, on_delete=models.PROTECT, related_name="+")
    text = models.CharField(max_length=120)

    class Meta:
        ordering = ["question__position", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["commitment", "question"], name="answer_once_per_question"
            )
        ]

    def __str__(self) -> str:
        return f"{self.question}: {self.text}"


class Step(Document):
    """One thing that happened to a promise: its history, which nobody rewrites.

    `note` says why in plain words and never holds a name or an address, so that the history can
    stay when a supporter's personal data is erased.
    """

    class What(models.TextChoices):
        PROMISED = "promised", "Promised"
        ASKED = "asked", "Choices asked"
        CHOSEN = "chosen", "Choices known"
        CHANGED = "changed", "Changed"
        MAKING = "making", "In the making"
        HELD = "held", "Piece held"
        MOVED = "moved", "Held piece moved"
        RELEASED = "released", "Piece released"
        OVERRIDDEN = "overridden", "Held piece sold all the same"
        RESTORED = "restored", "Held piece back after an undone sale"
        PACKED = "packed", "Packed"
        UNPACKED = "unpacked", "Unpacked"
        SENT = "sent", "Sent"
        HANDED_OVER = "handed_over", "Handed over"
        TAKEN_BACK = "taken_back", "Sending undone"
        CANCELLED = "cancelled", "Cancelled"
        REOPENED = "reopened", "Owed again"
        PAID = "paid", "Deposit taken"
        PAID_BACK = "paid_back", "Deposit paid back"
        FORFEITED = "forfeited", "Deposit kept"

    commitment = models.ForeignKey(Commitment, on_delete=models.PROTECT, related_name="steps")
    what = models.CharField(max_length=12, choices=What.choices)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.commitment}: {self.get_what_display()}"
