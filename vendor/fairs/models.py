"""Fairs, their weekends and selling days, and what is packed for each."""

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.house import dates
from vendor.house.models import Document, Studio, User
from vendor.ledger.models import Entry, Place
from vendor.ware.models import Grade, PriceTier, Ware

# More pieces than any van holds on one line: a slip of the keys.
MOST_PIECES = 5_000


class Fair(models.Model):
    """An event that runs over one or more weekends, with its stall and its tax."""

    name = models.CharField(max_length=70, unique=True)
    stall = models.OneToOneField(Place, on_delete=models.PROTECT, related_name="fair")
    tier = models.ForeignKey(
        PriceTier,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="price list",
        help_text="The price list at this fair.",
    )
    tax_rate_ppm = models.PositiveIntegerField(
        "tax rate",
        default=0,
        validators=[MaxValueValidator(1_000_000)],
        help_text="Parts per million (72500: 7.25 %).",
    )
    tax_included = models.BooleanField(
        default=False, help_text="The price on the tag already contains the tax."
    )
    tax_rounding = models.CharField(
        max_length=8, choices=Studio.Rounding.choices, default=Studio.Rounding.RECEIPT
    )
    cash_step = models.PositiveIntegerField(
        "smallest coin",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(100_000)],
        help_text="Cash totals are rounded to this many minor units (1: not rounded).",
    )
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(tax_rate_ppm__lte=1_000_000),
                name="fair_tax_rate_at_most_whole",
                violation_error_message="A tax rate can't be over 100 %.",
            ),
            models.CheckConstraint(condition=Q(cash_step__gt=0), name="fair_cash_step_above_zero"),
        ]

    def __str__(self) -> str:
        return self.name


class WeekendQuerySet(models.QuerySet["Weekend"]):
    """Ways to ask for weekends."""

    def coming(self, *, at: datetime.date) -> "WeekendQuerySet":
        """Weekends that are not over on a day, the nearest first."""
        return self.filter(last_day__gte=at).order_by("first_day", "id")

    def over(self, *, at: datetime.date) -> "WeekendQuerySet":
        """Weekends that were over before a day, the latest first."""
        return self.filter(last_day__lt=at).order_by("-last_day", "-id")


class Weekend(models.Model):
    """One of a fair's weekends: consecutive days on which its stall stands."""

    fair = models.ForeignKey(Fair, on_delete=models.CASCADE, related_name="weekends")
    number = models.PositiveSmallIntegerField()
    first_day = models.DateField()
    last_day = models.DateField()
    crowd_percent = models.PositiveIntegerField(
        "crowd (%)",
        default=100,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
        help_text="How many people are expected, against an ordinary weekend of 100.",
    )

    objects = WeekendQuerySet.as_manager()

    class Meta:
        ordering = ["first_day", "id"]
        constraints = [
            models.UniqueConstraint(fields=["fair", "number"], name="weekend_number_once_a_fair"),
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="weekend_ends_after_it_begins",
                violation_error_message="A weekend can't end before it begins.",
            ),
            models.CheckConstraint(condition=Q(crowd_percent__gt=0), name="weekend_has_a_crowd"),
        ]

    @property
    def span(self) -> str:
        """Its days in words: “Dec 5 – 6, 2026”."""
        return dates.span(self.first_day, self.last_day)

    @property
    def is_closed(self) -> bool:
        """Whether its stall is closed for good up to its last day (reads fair and stall)."""
        closed_through = self.fair.stall.closed_through
        return closed_through is not None and closed_through >= self.last_day

    def __str__(self) -> str:
        return f"{self.fair}, weekend {self.number}"


class SellingDay(models.Model):
    """One day on which the stall is open, with its hours."""

    weekend = models.ForeignKey(Weekend, on_delete=models.CASCADE, related_name="days")
    day = models.DateField()
    opens = models.TimeField(default=datetime.time(10))
    closes = models.TimeField(default=datetime.time(17))

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["weekend", "day"], name="selling_day_once_a_weekend"),
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")),
                name="selling_day_closes_after_it_opens",
                violation_error_message="A selling day closes after it opens.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day}"


class PackingList(Document):
    """What goes in the van for one weekend; loading it moves the ware to the stall."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="packing_lists")
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    loaded_at = models.DateTimeField(null=True, blank=True, editable=False)
    loaded_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    changed_at = models.DateTimeField(null=True, blank=True, editable=False)
    changed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    note = models.CharField(
        max_length=200, blank=True, help_text="What it is for: Saturday's van, a top-up …"
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(entry__isnull=True, loaded_at__isnull=True, loaded_by__isnull=True)
                | Q(entry__isnull=False, loaded_at__isnull=False, loaded_by__isnull=False),
                name="packing_list_loaded_by_somebody",
            )
        ]

    @property
    def title(self) -> str:
        """What it is called: its note, or its number."""
        return self.note.strip() or f"List {self.pk}"

    @property
    def is_loaded(self) -> bool:
        """Whether the van has been loaded by this list."""
        return self.loaded_at is not None

    def __str__(self) -> str:
        return f"Packing list {self.pk}"


class PackingLine(models.Model):
    """So many pieces of one ware and grade, in a tote."""

    packing_list = models.ForeignKey(PackingList, on_delete=models.CASCADE, related_name="lines")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices, default=Grade.FIRST)
    quantity = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_PIECES)]
    )
    tote = models.CharField(max_length=20, blank=True, help_text="Which box, as you mark it.")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["packing_list", "ware", "grade", "tote"],
                name="packing_line_once_per_ware_grade_and_tote",
            ),
            models.CheckConstraint(
                condition=Q(quantity__gt=0), name="packing_line_packs_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.ware_id}"


class Unpacked(Document):
    """Word from the stall about one tote: its pieces stand on the table, or are in it again.

    The latest word holds. Nothing moves by it: the stall has the pieces either way.
    """

    packing_list = models.ForeignKey(
        PackingList, on_delete=models.PROTECT, related_name="unpacked", editable=False
    )
    tote = models.CharField(max_length=20, editable=False)
    is_out = models.BooleanField(editable=False, help_text="Whether they stand on the table.")

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "unpacked"

    def __str__(self) -> str:
        return f"Tote {self.tote} of list {self.packing_list_id}"
