"""The closing of a weekend as it was written, and what was corrected of it afterwards."""

from django.db import models
from django.db.models import F, Q

from vendor.counter.till import till_field
from vendor.fairs.models import Weekend
from vendor.house.models import Document
from vendor.ledger.models import Entry


class Closing(Document):
    """The statement of one weekend, as it stood when it was closed. Amounts in minor units."""

    weekend = models.OneToOneField(Weekend, on_delete=models.PROTECT, related_name="closing")
    number = models.PositiveIntegerField(unique=True)
    title = models.CharField(max_length=120, help_text="What the weekend was called.")
    after = models.DateField(
        null=True, help_text="The last day of the closing before; its end was this one's opening."
    )
    first_day = models.DateField()
    last_day = models.DateField()
    currency = models.CharField(max_length=3)
    cash_float = models.BigIntegerField()
    cash_sales = models.BigIntegerField()
    cash_tips = models.BigIntegerField()
    cash_refunds = models.BigIntegerField()
    paid_in = models.BigIntegerField()
    paid_out = models.BigIntegerField()
    cash_deposits = models.BigIntegerField(default=0, help_text="Taken in cash on commissions.")
    cash_deposits_back = models.BigIntegerField(default=0, help_text="Paid back in cash.")
    cash_expected = models.BigIntegerField()
    cash_counted = models.BigIntegerField()
    over_short = models.BigIntegerField(help_text="Counted less expected.")
    cash_reason = models.CharField(max_length=200, blank=True)
    taken_out = models.BigIntegerField(
        default=0, help_text="Taken out of the till after the last count; below zero: put in."
    )
    cash_before = models.BigIntegerField(
        null=True, blank=True, help_text="What the statement before left in the till."
    )
    carried_reason = models.CharField(
        max_length=200, blank=True, help_text="Why the floats are more or less than that."
    )
    card_sales = models.BigIntegerField()
    card_tips = models.BigIntegerField()
    card_refunds = models.BigIntegerField()
    other_sales = models.BigIntegerField()
    other_tips = models.BigIntegerField()
    other_refunds = models.BigIntegerField()
    card_deposits = models.BigIntegerField(default=0, help_text="Less those paid back.")
    other_deposits = models.BigIntegerField(default=0, help_text="Less those paid back.")
    card_charged = models.BigIntegerField(
        null=True, blank=True, help_text="By the card statements; empty: none was compared."
    )
    card_fees = models.BigIntegerField(default=0)
    correction = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_home = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    @property
    def cash_left(self) -> int:
        """What stayed in the till once it was closed (minor units), later corrections aside."""
        return self.cash_counted - self.taken_out

    @property
    def carried(self) -> int:
        """What its floats were more than the statement before had left; 0 after none."""
        return 0 if self.cash_before is None else self.cash_float - self.cash_before

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    cash_expected=F("cash_float")
                    + F("cash_sales")
                    + F("cash_tips")
                    - F("cash_refunds")
                    + F("paid_in")
                    - F("paid_out")
                    + F("cash_deposits")
                    - F("cash_deposits_back")
                ),
                name="closing_cash_equation",
            ),
            models.CheckConstraint(
                condition=Q(over_short=F("cash_counted") - F("cash_expected")),
                name="closing_over_short_equation",
            ),
            models.CheckConstraint(
                condition=Q(over_short=0) | ~Q(cash_reason=""),
                name="closing_over_short_has_a_reason",
                violation_error_message="A till that is over or short needs a reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"Closing {self.number}"


class Amendment(Document):
    """A correction of a closed weekend, entered in an open one and linked back to its statement."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="amendments")
    reason = models.CharField(max_length=200)
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    till = till_field()
    cash = models.BigIntegerField(
        default=0, help_text="Minor units that the till held more (less: below zero) than stated."
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.closing}, amended"
