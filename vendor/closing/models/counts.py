"""What was counted at the end of a weekend: the stall's pieces and the till's cash.

A count is never changed; it is counted again, and the later one holds.
"""

from django.db import models
from django.db.models import Q

from vendor.counter.till import till_field
from vendor.fairs.models import Weekend
from vendor.house.models import Document
from vendor.ware.models import Grade, Ware

MOST_COUNTED = 100_000


class Counting(Document):
    """What every count carries: which it is of its kind, and why it differs.

    `version` runs from 1; the database refuses a second count that follows on the same one, so
    that of two devices the later to arrive learns of the other. `reason` explains the difference
    that stood when it was written (`explains`); where that has changed since, it explains nothing.
    """

    version = models.PositiveIntegerField()
    reason = models.CharField(
        max_length=200, blank=True, help_text="Why it differs from what was expected."
    )
    explains = models.CharField(max_length=40, blank=True)

    class Meta:
        abstract = True


class StallCount(Counting):
    """What was counted of one ware and grade at the end of a weekend, before it is closed."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="counts")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    counted = models.PositiveIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "ware", "grade", "version"],
                name="stall_count_one_after_the_other",
            ),
            models.CheckConstraint(
                condition=Q(version__gt=0, counted__lte=MOST_COUNTED), name="stall_count_possible"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.counted} × {self.ware_id}"


class CashCount(Counting):
    """What was counted in a till at the end of a weekend, before it is closed, or of one `day`.

    All that was in it, before anything was taken out that does not stay for the next day.
    """

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="cash_counts")
    till = till_field()
    day = models.DateField(null=True, blank=True, help_text="Empty: the end of the weekend.")
    counted = models.BigIntegerField(help_text="Minor units.")
    pieces = models.JSONField(
        default=dict, blank=True, help_text="How many of each note and coin, by minor units."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "till", "version"],
                condition=Q(day__isnull=True),
                name="cash_count_one_after_the_other",
            ),
            models.UniqueConstraint(
                fields=["weekend", "till", "day", "version"],
                condition=Q(day__isnull=False),
                name="day_count_one_after_the_other",
            ),
            models.CheckConstraint(
                condition=Q(version__gt=0, counted__gte=0), name="cash_count_not_below_zero"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.counted}"


class CarriedCash(Document):
    """Why a weekend began with more or less cash than the statement before it had left.

    `difference` is what it explains: this weekend's floats less what was left (minor units).
    """

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="carried_cash")
    difference = models.BigIntegerField()
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "carried cash"

    def __str__(self) -> str:
        return self.reason
