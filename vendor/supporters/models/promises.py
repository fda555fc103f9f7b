"""What is promised to whom, and how far each promise has come."""

import datetime
from typing import Any

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.firings.models import Batch, Firing, FiringLine
from vendor.house.models import Document, User
from vendor.ledger.models import Entry, Hold
from vendor.supporters.models.parcels import Parcel
from vendor.supporters.models.people import Supporter
from vendor.supporters.models.rules import Reward
from vendor.ware.models import MAX_MONEY, Finish, Form, Ware


class CommitmentQuerySet(models.QuerySet["Commitment"]):
    """Ways to ask for promises."""

    def open(self) -> "CommitmentQuerySet":
        """Promises that are still to be kept."""
        return self.filter(state__in=Commitment.OPEN)

    def without_a_piece(self) -> "CommitmentQuerySet":
        """Open promises for which no piece is set aside yet."""
        return self.filter(state__in=Commitment.WITHOUT_A_PIECE)

    def with_a_piece(self) -> "CommitmentQuerySet":
        """Open promises for which a piece is set aside."""
        return self.filter(state__in=Commitment.WITH_A_PIECE)

    def overdue(self, today: datetime.date) -> "CommitmentQuerySet":
        """Open promises whose day has passed."""
        return self.open().filter(due_on__lt=today)

    def named(self) -> "CommitmentQuerySet":
        """Promises with all that their names need at hand (one statement)."""
        return self.select_related(
            "supporter",
            "reward",
            "ware__form",
            "ware__finish",
            "form",
            "finish",
            "hold__place",
            "firing",
            "batch__form",
            "firing_line__firing",
            "firing_line__batch",
            "firing_line__form",
            "firing_line__ware__form",
            "firing_line__ware__finish",
        )


class Commitment(Document):
    """A piece that is owed to one supporter, with the choices they made."""

    class State(models.TextChoices):
        OWED = "owed", "Owed"
        MAKING = "making", "In the making"
        HELD = "held", "Held"
        PACKED = "packed", "Packed"
        SENT = "sent", "Sent"
        HANDED_OVER = "handed_over", "Handed over"
        CANCELLED = "cancelled", "Cancelled"

    WITHOUT_A_PIECE = (State.OWED, State.MAKING)
    WITH_A_PIECE = (State.HELD, State.PACKED)
    OPEN = (*WITHOUT_A_PIECE, *WITH_A_PIECE)
    KEPT = (State.SENT, State.HANDED_OVER)
    UNCHOSEN = Q(state=State.OWED, reward__isnull=False, known_on__isnull=True)

    number = models.PositiveIntegerField(unique=True, editable=False)
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="commitments")
    reward = models.ForeignKey(
        Reward, on_delete=models.PROTECT, null=True, blank=True, related_name="commitments"
    )
    credits = models.PositiveIntegerField(
        default=0, help_text="What was spent on it; 0 for a promise outside of the rewards."
    )
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # What is known of the piece before there is ware of that form in that finish.
    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    finish = models.ForeignKey(
        Finish, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    choices = models.CharField(
        max_length=200, blank=True, help_text="What they asked for: motif, lettering, colours."
    )
    note = models.CharField(max_length=200, blank=True, help_text="What else was agreed.")
    price = models.PositiveBigIntegerField(
        "agreed price",
        null=True,
        blank=True,
        validators=[MaxValueValidator(MAX_MONEY)],
        help_text="Of a commission, in minor units with any tax in it; empty: nothing is to pay.",
    )
    paid = models.PositiveBigIntegerField(
        "paid in advance", default=0, help_text="Deposits that were not paid back or kept."
    )
    seconds_allowed = models.BooleanField(
        default=False, help_text="Whether a second may keep this promise."
    )
    promised_on = models.DateField()
    due_on = models.DateField("due", null=True, blank=True)
    asked_on = models.DateField("choices asked", null=True, blank=True)
    known_on = models.DateField("choices known", null=True, blank=True)
    # Where it is in the making: a batch, or a line of a firing; only promises from before batches
    # were kept name a firing as a whole.
    batch = models.ForeignKey(
        Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    firing_line = models.ForeignKey(
        FiringLine, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    firing = models.ForeignKey(
        Firing, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    making_note = models.CharField(max_length=120, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.OWED)
    hold = models.OneToOneField(
        Hold, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    parcel = models.ForeignKey(
        Parcel, on_delete=models.PROTECT, null=True, blank=True, related_name="commitments"
    )
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    end_note = models.CharField(max_length=200, blank=True)

    place: Any = None
    """Where it is in the making, in words, once `places.tell` has read it."""

    objects = CommitmentQuerySet.as_manager()

    class Meta:
        ordering = ["due_on", "number"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["held", "packed"]) | Q(hold__isnull=False),
                name="commitment_held_has_a_hold",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["owed", "making", "cancelled"]) | Q(hold__isnull=True),
                name="commitment_owed_has_no_hold",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["owed", "making", "held", "packed"], ended_at__isnull=True)
                | Q(state__in=["sent", "handed_over", "cancelled"], ended_at__isnull=False),
                name="commitment_ends_at_a_moment",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["sent", "handed_over"]) | Q(entry__isnull=False),
                name="commitment_kept_has_its_entry",
            ),
            models.CheckConstraint(
                condition=Q(ware__isnull=False) | Q(form__isnull=False) | Q(reward__isnull=False),
                name="commitment_knows_what_it_is_of",
                violation_error_message="A promise is of some ware, some form or some reward.",
            ),
            models.CheckConstraint(
                condition=Q(price__isnull=True, paid=0)
                | Q(price__isnull=False, paid__lte=F("price"), credits=0),
                name="commitment_paid_within_its_price",
                violation_error_message="More can't be paid in advance than the price agreed.",
            ),
            models.CheckConstraint(
                condition=Q(reward__isnull=False) | Q(credits=0),
                name="commitment_credits_are_a_rewards",
            ),
        ]

    @property
    def is_open(self) -> bool:
        """Whether it is still to be kept."""
        return self.state in self.OPEN

    @property
    def has_a_piece(self) -> bool:
        """Whether a piece is set aside for it."""
        return self.state in self.WITH_A_PIECE

    @property
    def waits_on_choices(self) -> bool:
        """Whether the supporter was asked for choices and has not made them."""
        return self.state in self.WITHOUT_A_PIECE and bool(self.asked_on) and not self.known_on

    @property
    def is_commission(self) -> bool:
        """Whether a price was agreed for it, so that it is sold when it is handed over."""
        return self.price is not None

    @property
    def to_pay(self) -> int:
        """What is left to pay when it is handed over (minor units)."""
        return (self.price or 0) - self.paid

    @property
    def stage(self) -> str:
        """How far it has come, in words, with the choices where they matter."""
        if self.state == self.State.OWED and self.waits_on_choices:
            return "Choices asked"
        if self.state == self.State.OWED and self.known_on:
            return "Choices known"
        if self.state == self.State.OWED and self.reward_id is not None:
            return "Choices to ask for"
        return self.get_state_display()

    @property
    def shape(self) -> Form | None:
        """The form of the piece, as soon as it is known."""
        return self.ware.form if self.ware is not None else self.form

    @property
    def glaze(self) -> Finish | None:
        """The finish of the piece, as soon as it is known."""
        return self.ware.finish if self.ware is not None else self.finish

    @property
    def piece_name(self) -> str:
        """The piece in words, as far as it is known."""
        if self.ware is not None:
            return self.ware.name
        shape = self.form.name if self.form else str(self.reward)
        return f"{shape}, {self.finish.name if self.finish else 'not chosen yet'}"

    @property
    def said(self) -> str:
        """All that was chosen, in one line; reads the answers."""
        told = [f"{each.question.name}: {each.text}" for each in self.answers.all()]
        return "; ".join([*told, *([self.choices] if self.choices else [])])

    def fits_batch(self, batch: Batch) -> bool:
        """Whether pieces of a batch can become what is promised: it is of the same form."""
        return self.shape is not None and self.shape.pk == batch.form_id

    def fits_line(self, line: FiringLine) -> bool:
        """Whether a line of a firing can be what is promised: its ware, or as far as it is known.

        In a bisque firing the form is all there is.
        """
        if self.shape is None or self.shape.pk != line.shape.pk:
            return False
        if line.ware is None:
            return True
        if self.ware_id is not None:
            return self.ware_id == line.ware_id
        return self.finish_id is None or self.finish_id == line.ware.finish_id

    def is_overdue(self, today: datetime.date) -> bool:
        """Whether its day has passed while it is still open."""
        return self.is_open and self.due_on is not None and self.due_on < today

    def __str__(self) -> str:
        return f"Promise {self.number}"
