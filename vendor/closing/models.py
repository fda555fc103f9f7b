"""The count of a stall, the count of its till, and the closing of a weekend as it was written."""

from django.db import models
from django.db.models import F, Q

from vendor.fairs.models import Weekend
from vendor.house.models import Document, User
from vendor.ledger.models import Entry
from vendor.ware.models import Grade, Ware


class StallCount(models.Model):
    """What was counted of one ware and grade at the end of a weekend, before it is closed."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="counts")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    counted = models.PositiveIntegerField()
    reason = models.CharField(
        max_length=200, blank=True, help_text="Why it differs from what was expected."
    )
    counted_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    counted_at = models.DateTimeField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "ware", "grade"], name="stall_count_once_per_ware_and_grade"
            )
        ]

    def __str__(self) -> str:
        return f"{self.counted} × {self.ware_id}"


class CashCount(models.Model):
    """What was counted in the till at the end of a weekend, before it is closed."""

    weekend = models.OneToOneField(Weekend, on_delete=models.PROTECT, related_name="cash_count")
    counted = models.BigIntegerField(help_text="Minor units.")
    reason = models.CharField(max_length=200, blank=True)
    counted_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    counted_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(counted__gte=0), name="cash_count_not_below_zero")
        ]

    def __str__(self) -> str:
        return f"{self.counted}"


class Closing(Document):
    """The statement of one weekend, as it stood when it was closed. Append-only."""

    weekend = models.OneToOneField(Weekend, on_delete=models.PROTECT, related_name="closing")
    number = models.PositiveIntegerField(unique=True)
    cash_float = models.BigIntegerField()
    cash_sales = models.BigIntegerField()
    cash_refunds = models.BigIntegerField()
    paid_in = models.BigIntegerField()
    paid_out = models.BigIntegerField()
    cash_expected = models.BigIntegerField()
    cash_counted = models.BigIntegerField()
    over_short = models.BigIntegerField(help_text="Counted less expected.")
    cash_reason = models.CharField(max_length=200, blank=True)
    card_sales = models.BigIntegerField()
    other_sales = models.BigIntegerField()
    correction = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_home = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    cash_expected=F("cash_float")
                    + F("cash_sales")
                    - F("cash_refunds")
                    + F("paid_in")
                    - F("paid_out")
                ),
                name="closing_cash_equation",
            ),
            models.CheckConstraint(
                condition=Q(over_short=F("cash_counted") - F("cash_expected")),
                name="closing_over_short_equation",
            ),
        ]

    def __str__(self) -> str:
        return f"Closing {self.number}"


class ClosingLine(models.Model):
    """The closing's equation for one ware and grade. Append-only."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="lines")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    opening = models.IntegerField()
    packed_in = models.IntegerField()
    taken_back = models.IntegerField()
    found = models.IntegerField()
    sold = models.IntegerField()
    returned = models.IntegerField()
    broken = models.IntegerField()
    given = models.IntegerField()
    corrected = models.IntegerField(
        default=0, help_text="Counts corrected on the stall before the closing."
    )
    expected = models.IntegerField()
    counted = models.IntegerField()
    variance = models.IntegerField()
    reason = models.CharField(max_length=200, blank=True)

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
                ),
                name="closing_line_equation",
            ),
            models.CheckConstraint(
                condition=Q(variance=F("counted") - F("expected")), name="closing_line_variance"
            ),
            models.CheckConstraint(
                condition=Q(variance=0) | ~Q(reason=""),
                name="closing_line_variance_has_a_reason",
                violation_error_message="Every difference needs a reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ware_id}: {self.variance:+d}"
