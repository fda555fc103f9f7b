"""Supporters and what is promised to them."""

from django.db import models
from django.db.models import Q

from vendor.house.models import Document, User
from vendor.ledger.models import Hold
from vendor.ware.models import Ware


class Supporter(Document):
    """A person who contributes monthly. Personal data stays small: name, contact, address."""

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    address = models.TextField(blank=True, help_text="Where rewards are sent.")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name", "id"]

    @property
    def first_name(self) -> str:
        """The first name: the most that a helper sees."""
        return self.name.split()[0] if self.name.split() else self.name

    def __str__(self) -> str:
        return self.name


class Commitment(Document):
    """A reward that is owed to one supporter, with the choices they made."""

    class State(models.TextChoices):
        OWED = "owed", "Owed"
        HELD = "held", "Held"
        SENT = "sent", "Sent"
        HANDED_OVER = "handed_over", "Handed over"
        CANCELLED = "cancelled", "Cancelled"

    OPEN = (State.OWED, State.HELD)

    number = models.PositiveIntegerField(unique=True, editable=False)
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="commitments")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    choices = models.CharField(
        max_length=200, blank=True, help_text="What they asked for: motif, lettering, colours."
    )
    due_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.OWED)
    hold = models.OneToOneField(
        Hold, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    end_note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["due_on", "number"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="held") | Q(hold__isnull=False),
                name="commitment_held_has_a_hold",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["owed", "held"], ended_at__isnull=True)
                | Q(state__in=["sent", "handed_over", "cancelled"], ended_at__isnull=False),
                name="commitment_ends_at_a_moment",
            ),
        ]

    def __str__(self) -> str:
        return f"Promise {self.number}"
