"""The count of a stall and of its till, and the closing of a weekend as it was written.

All of it is append-only: a count is never changed, it is counted again, and the later one holds.
"""

from django.db import models
from django.db.models import F, Q

from vendor.fairs.models import Weekend
from vendor.house.models import Document, User
from vendor.ledger.models import Entry
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
    """What was counted in the till at the end of a weekend, before it is closed."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="cash_counts")
    counted = models.BigIntegerField(help_text="Minor units.")
    pieces = models.JSONField(
        default=dict, blank=True, help_text="How many of each note and coin, by minor units."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "version"], name="cash_count_one_after_the_other"
            ),
            models.CheckConstraint(
                condition=Q(version__gt=0, counted__gte=0), name="cash_count_not_below_zero"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.counted}"


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
    cash_expected = models.BigIntegerField()
    cash_counted = models.BigIntegerField()
    over_short = models.BigIntegerField(help_text="Counted less expected.")
    cash_reason = models.CharField(max_length=200, blank=True)
    card_sales = models.BigIntegerField()
    card_tips = models.BigIntegerField()
    card_refunds = models.BigIntegerField()
    other_sales = models.BigIntegerField()
    other_tips = models.BigIntegerField()
    other_refunds = models.BigIntegerField()
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
                    + F("cash_tips")
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
            models.CheckConstraint(
                condition=Q(over_short=0) | ~Q(cash_reason=""),
                name="closing_over_short_has_a_reason",
                violation_error_message="A till that is over or short needs a reason.",
            ),
        ]

    def __str__(self) -> str:
        return f"Closing {self.number}"


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


class Amendment(Document):
    """A correction of a closed weekend, entered in an open one and linked back to its statement."""

    closing = models.ForeignKey(Closing, on_delete=models.PROTECT, related_name="amendments")
    reason = models.CharField(max_length=200)
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cash = models.BigIntegerField(
        default=0, help_text="Minor units that the till held more (less: below zero) than stated."
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.closing}, amended"


class CardStatement(Document):
    """A card statement that came as a file, kept as it came; its lines are read by `columns`."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_statements")
    name = models.CharField(max_length=200, help_text="The file's name.")
    digest = models.CharField(max_length=64)
    head = models.JSONField()
    rows = models.JSONField()
    columns = models.JSONField(null=True, blank=True, help_text="What each column means.")
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "digest"],
                condition=Q(removed_at__isnull=True),
                name="card_statement_once_a_weekend",
            )
        ]

    def __str__(self) -> str:
        return self.name


class CardColumns(models.Model):
    """What the columns of statements with a certain head mean, remembered for the next one."""

    head = models.CharField(max_length=64, unique=True, help_text="A fingerprint of the heads.")
    columns = models.JSONField()

    class Meta:
        verbose_name_plural = "card columns"

    def __str__(self) -> str:
        return self.head[:12]


class CardPair(Document):
    """Lines and card sales that a person said belong together, known by their fingerprints.

    `reason` says why where they don't come to the same. Taken apart, it is kept.
    """

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_pairs")
    lines = models.JSONField()
    sales = models.JSONField()
    reason = models.CharField(max_length=200, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.reason or "matched by hand"


class CardNote(Document):
    """Why a line of a statement, or a card sale, has no partner on the other side."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_notes")
    about = models.CharField(max_length=80, help_text="Which line or payment, by its fingerprint.")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.reason
