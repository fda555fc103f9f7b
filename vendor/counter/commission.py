"""Commissions as they were taken at a stall, and the deposits on them.

What is promised, to whom and at which price is the promise's own (`vendor.supporters`); here is
who took it where, and every amount that came and went before the piece is sold. Append-only, and
without anybody's name. A deposit is the customer's money until the piece is handed over: no sale,
and no part of any turnover. `vendor.counter.commissions` writes all of it.
"""

from django.db import models
from django.db.models import Q

from vendor.counter.till import till_field
from vendor.counter.ways import Way
from vendor.fairs.models import Fair, Weekend
from vendor.house.models import Document, User
from vendor.supporters.models import Commitment


class Commission(Document):
    """One commission taken at a stall, by the document that its device made."""

    commitment = models.OneToOneField(Commitment, on_delete=models.PROTECT, related_name="+")
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, related_name="+")
    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="+")
    day = models.DateField()
    taken_at = models.DateTimeField(help_text="By the device's clock.")
    seller = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    device = models.CharField(max_length=40, blank=True)
    digest = models.CharField(max_length=64)

    class Meta:
        app_label = "counter"
        ordering = ["id"]

    @property
    def number(self) -> int:
        """The number of its promise, by which it is known."""
        return self.commitment.number

    def __str__(self) -> str:
        return f"Commission, {self.commitment}"


class Deposit(Document):
    """Money taken on a commission, paid back, or kept when it was cancelled."""

    class Kind(models.TextChoices):
        TAKEN = "taken", "Deposit"
        PAID_BACK = "paid_back", "Deposit paid back"
        KEPT = "kept", "Deposit kept"

    commitment = models.ForeignKey(Commitment, on_delete=models.PROTECT, related_name="+")
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, related_name="+")
    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="deposits")
    number = models.PositiveIntegerField(help_text="Of the slip, without gaps per fair.")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    day = models.DateField()
    happened_at = models.DateTimeField()
    seller = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    till = till_field()
    currency = models.CharField(max_length=3)
    method = models.CharField(max_length=5, choices=Way.choices, blank=True)
    amount = models.PositiveBigIntegerField(help_text="Minor units, above zero.")
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        app_label = "counter"
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["fair", "number"], name="deposit_number_once_a_fair"),
            models.CheckConstraint(condition=Q(amount__gt=0), name="deposit_above_zero"),
            models.CheckConstraint(
                condition=Q(kind="kept", method="") | (~Q(kind="kept") & ~Q(method="")),
                name="deposit_changes_hands_or_is_kept",
            ),
            models.CheckConstraint(
                condition=Q(kind="taken") | ~Q(reason=""), name="deposit_ends_for_a_reason"
            ),
        ]

    @property
    def received(self) -> int:
        """What came in by it: below zero what went back, nothing where it is kept (minor units)."""
        return {self.Kind.TAKEN: self.amount, self.Kind.PAID_BACK: -self.amount}.get(
            self.Kind(self.kind), 0
        )

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"
