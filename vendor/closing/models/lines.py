"""What a statement says line by line: its ware, its tills and its cards without a partner."""

from django.db import models
from django.db.models import F, Q

from vendor.closing.models.closings import Closing
from vendor.counter.till import till_field
from vendor.house import dates
from vendor.house.models import User
from vendor.ware.models import Grade, Ware


class ClosingCash(models.Model):
    """One till of a statement from one count to the next: a day, or what is left of the weekend."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="cash_lines")
    till = till_field()
    name = models.CharField(max_length=40, help_text="What the cash box was called.")
    day = models.DateField(null=True, blank=True, help_text="Empty: the end of the weekend.")
    opening = models.BigIntegerField(help_text="What the count before left in it.")
    cash_float = models.BigIntegerField()
    sales = models.BigIntegerField()
    tips = models.BigIntegerField()
    refunds = models.BigIntegerField()
    paid_in = models.BigIntegerField()
    paid_out = models.BigIntegerField()
    deposits = models.BigIntegerField(default=0)
    deposits_back = models.BigIntegerField(default=0)
    expected = models.BigIntegerField()
    counted = models.BigIntegerField()
    over_short = models.BigIntegerField(help_text="Counted less expected.")
    reason = models.CharField(max_length=200, blank=True)
    taken_out = models.BigIntegerField(help_text="After the count; below zero: put in.")
    counted_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    counted_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    expected=F("opening")
                    + F("cash_float")
                    + F("sales")
                    + F("tips")
                    - F("refunds")
                    + F("paid_in")
                    - F("paid_out")
                    + F("deposits")
                    - F("deposits_back")
                ),
                name="closing_till_equation",
            ),
            models.CheckConstraint(
                condition=Q(over_short=F("counted") - F("expected")),
                name="closing_till_over_short_equation",
            ),
            models.CheckConstraint(
                condition=Q(over_short=0) | ~Q(reason=""),
                name="closing_till_over_short_has_a_reason",
                violation_error_message="A till that is over or short needs a reason.",
            ),
        ]

    @property
    def label(self) -> str:
        """Which box, and which night where it is not the end of the weekend."""
        return (
            f"{self.name}, {dates.weekday(self.day)} night"
            if self.day
            else f"{self.name}, at the end"
        )

    @property
    def began(self) -> int:
        """What was in it before anything was sold (minor units)."""
        return self.opening + self.cash_float

    @property
    def came(self) -> int:
        """What came into it (minor units)."""
        return self.sales + self.tips + self.paid_in + self.deposits

    @property
    def went(self) -> int:
        """What went out of it before the count (minor units)."""
        return self.refunds + self.paid_out + self.deposits_back

    @property
    def left(self) -> int:
        """What stayed in it (minor units): the opening of what comes next."""
        return self.counted - self.taken_out

    def __str__(self) -> str:
        return f"{self.name}: {self.over_short:+d}"


class ClosingCard(models.Model):
    """A card sale or a line of a card statement that had no partner at the closing, and why."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="card_lines")
    is_sale = models.BooleanField(help_text="A sale without a line; else a line without a sale.")
    what = models.CharField(max_length=200)
    amount = models.BigIntegerField(help_text="Minor units; a refund is below zero.")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="closing_card_has_a_reason",
                violation_error_message="What has no partner needs a reason.",
            )
        ]

    def __str__(self) -> str:
        return self.what


class ClosingLine(models.Model):
    """The closing's equation for one ware and grade (pieces)."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="lines")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    name = models.CharField(max_length=120, help_text="What the ware was called.")
    opening = models.IntegerField()
    packed_in = models.IntegerField()
    taken_back = models.IntegerField()
    found = models.IntegerField()
    corrected = models.IntegerField(help_text="Counts corrected on the stall before the closing.")
    sold = models.IntegerField()
    returned = models.IntegerField()
    broken = models.IntegerField()
    given = models.IntegerField()
    traded = models.IntegerField()
    own_use = models.IntegerField()
    handed_over = models.IntegerField(help_text="Held pieces that went to whom they were held for.")
    expected = models.IntegerField()
    counted = models.IntegerField()
    variance = models.IntegerField()
    reason = models.CharField(max_length=200, blank=True)
    home = models.IntegerField(default=0, help_text="Taken home at the closing, after the count.")
    price = models.PositiveBigIntegerField(
        null=True, help_text="On the fair's price list that day, minor units a piece."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["closing", "ware", "grade"], name="closing_line_once_per_ware_and_grade"
            ),
            models.CheckConstraint(
                condition=Q(
                    expected=F("opening")
                    + F("packed_in")
                    + F("taken_back")
                    + F("found")
                    + F("corrected")
                    - F("sold")
                    - F("returned")
                    - F("broken")
                    - F("given")
                    - F("traded")
                    - F("own_use")
                    - F("handed_over")
                ),
                name="closing_line_equation",
            ),
            models.CheckConstraint(
                condition=Q(variance=F("counted") - F("expected")), name="closing_line_variance"
            ),
            models.CheckConstraint(
                condition=Q(variance=0, found=0) | ~Q(reason=""),
                name="closing_line_difference_has_a_reason",
                violation_error_message="Every difference needs a reason.",
            ),
            models.CheckConstraint(
                condition=Q(counted__gte=0, home__gte=0), name="closing_line_not_below_zero"
            ),
        ]

    @property
    def left(self) -> int:
        """What stood on the stall when it was closed: the next weekend's opening."""
        return self.counted - self.home

    def __str__(self) -> str:
        return f"{self.ware_id}: {self.variance:+d}"
