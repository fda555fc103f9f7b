"""What was counted at the end of a weekend: the stall's pieces and the till's cash.

A count is never changed; it is counted again, and the later one holds.
"""

from django.db import models
from django.db.models import F, Q

from vendor.counter.till import till_field
from vendor.fairs.models import Weekend
from vendor.house.models import Document, User
from vendor.ledger.models import Hold
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


class CountPass(Document):
    """Going once through the stall, or through a corner of it, by one person on one device.

    Until it is ended, nothing that it counted is held against the book: the count stays blind.
    """

    class Kind(models.TextChoices):
        FIRST = "first", "the first time round"
        ELSEWHERE = "elsewhere", "standing elsewhere"
        AGAIN = "again", "counted again"

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="count_passes")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=9, choices=Kind.choices)
    where = models.CharField(max_length=40, blank=True, help_text="The back shelf, a box.")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "count passes"
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "number"], name="count_pass_numbered_within_its_weekend"
            ),
            models.CheckConstraint(
                condition=Q(number__gt=0, kind__in=["first", "elsewhere", "again"]),
                name="count_pass_possible",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__isnull=False, ended_by__isnull=False),
                name="count_pass_is_ended_by_somebody",
            ),
        ]

    @property
    def told(self) -> str:
        """Which it is, in a word or two."""
        return self.where or ("" if self.kind == self.Kind.FIRST else self.get_kind_display())

    def __str__(self) -> str:
        return f"pass {self.number}"


class StallCount(Counting):
    """One act of counting pieces of a ware and grade, before the weekend is closed.

    It says that so many are all there is (`more` 0), or that so many stand there besides what is
    counted already: those two are never told apart by guessing. `counted` is what stands there
    after it, by all acts so far. An act that `undoes` another takes it back as if it had never
    been; with nothing left, nothing is counted (None). `held` is the piece of a hold that it was.
    """

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="counts")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    counted = models.PositiveIntegerField(null=True)
    more = models.PositiveIntegerField(default=0, help_text="Pieces; 0: it is all there is.")
    in_pass = models.ForeignKey(
        CountPass, on_delete=models.PROTECT, related_name="counts", null=True, blank=True
    )
    held = models.ForeignKey(
        Hold, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="undone_by", null=True, blank=True
    )

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
            models.CheckConstraint(
                condition=Q(counted__isnull=False) | Q(undoes__isnull=False),
                name="stall_count_says_how_many",
            ),
            models.CheckConstraint(
                condition=Q(more=0) | Q(counted__gte=F("more"), undoes__isnull=True),
                name="stall_count_adds_up",
            ),
            models.CheckConstraint(
                condition=Q(held__isnull=True) | Q(in_pass__isnull=False, undoes__isnull=True),
                name="stall_count_of_a_held_piece_is_in_a_pass",
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
