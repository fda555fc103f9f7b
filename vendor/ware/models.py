"""What the studio makes and what it asks for it: forms, finishes, ware, tiers, prices."""

import datetime
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from vendor.house.models import User
from vendor.house.money import MAX_MONEY as MAX_MONEY

# Capital letters, digits and single hyphens: readable aloud, and cheap in Code 128.
CODE_PATTERN = r"^[A-Z0-9]+(-[A-Z0-9]+)*$"
code_shape = RegexValidator(
    CODE_PATTERN, "A code has capital letters A–Z and digits, with single hyphens between."
)
colour_shape = RegexValidator(r"^#[0-9a-f]{6}$", "A colour is # and six digits 0–9, a–f.")
MAX_MM = 2000


class Grade(models.TextChoices):
    """A first, or a second: a flawed piece that can still be sold."""

    FIRST = "first", "First"
    SECOND = "second", "Second"


class Form(models.Model):
    """A shape that the studio makes, with its fired measures."""

    code = models.CharField(max_length=4, unique=True, validators=[code_shape])
    name = models.CharField(max_length=60, unique=True)
    category = models.CharField(
        max_length=40, blank=True, help_text="How lists group it: drinking, serving, keeping …"
    )
    profile = models.CharField(
        max_length=30,
        blank=True,
        help_text="Which outline it is drawn with; empty: found by its name.",
    )
    height_mm = models.PositiveIntegerField(
        "height (mm)", validators=[MinValueValidator(1), MaxValueValidator(MAX_MM)]
    )
    width_mm = models.PositiveIntegerField(
        "widest (mm)",
        validators=[MinValueValidator(1), MaxValueValidator(MAX_MM)],
        help_text="Across its widest part, fired: the room it takes on a shelf and in a tote.",
    )
    clay_g = models.PositiveIntegerField(
        "clay (g)", null=True, blank=True, help_text="Wet clay for one piece."
    )
    retired = models.BooleanField(default=False, help_text="Not made any more.")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(height_mm__gt=0, width_mm__gt=0),
                name="form_has_a_size",
                violation_error_message="A form has a height and a width above zero.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Finish(models.Model):
    """A glaze or decoration."""

    class FoodContact(models.TextChoices):
        UNTESTED = "untested", "No laboratory test on record"
        TESTED = "tested", "Laboratory test on record"
        NOT_FOR_FOOD = "not_for_food", "Not for food"

    code = models.CharField(max_length=4, unique=True, validators=[code_shape])
    name = models.CharField(max_length=60, unique=True)
    colour = models.CharField(
        max_length=7, default="#b9a48c", validators=[colour_shape], help_text="How it is drawn."
    )
    food_contact = models.CharField(
        max_length=12, choices=FoodContact.choices, default=FoodContact.UNTESTED
    )
    food_note = models.TextField(
        "food-contact note",
        blank=True,
        help_text="The test: laboratory, date, what was tested. "
        "Follow your local rules and ask a qualified laboratory.",
    )
    retired = models.BooleanField(default=False, help_text="Not used any more.")

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "finishes"

    def __str__(self) -> str:
        return self.name


class WareQuerySet(models.QuerySet["Ware"]):
    """Ways to ask for ware."""

    def current(self) -> "WareQuerySet":
        """Ware that is still made or sold."""
        return self.filter(retired=False)

    def named(self) -> "WareQuerySet":
        """Ware with its form and finish at hand, in the order that lists show."""
        return self.select_related("form", "finish").order_by("form__name", "finish__name", "code")


class Ware(models.Model):
    """A form in a finish: what is counted, priced, tagged and sold."""

    form = models.ForeignKey(Form, on_delete=models.PROTECT, related_name="ware")
    finish = models.ForeignKey(Finish, on_delete=models.PROTECT, related_name="ware")
    code = models.CharField(
        max_length=12,
        unique=True,
        validators=[code_shape],
        help_text="Short, and on every tag as a barcode.",
    )
    own_name = models.CharField(
        max_length=80, blank=True, help_text="A name of its own; empty: form and finish."
    )
    one_of_a_kind = models.BooleanField(default=False)
    photo = models.ImageField(upload_to="ware/", blank=True)
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False, help_text="Not made or sold any more.")

    objects = WareQuerySet.as_manager()

    class Meta:
        ordering = ["form__name", "finish__name", "code"]
        verbose_name_plural = "ware"
        constraints = [
            models.UniqueConstraint(
                fields=["form", "finish"],
                condition=Q(one_of_a_kind=False),
                name="ware_is_one_form_in_one_finish",
                violation_error_message="There is ware of this form in this finish already.",
            )
        ]

    @property
    def name(self) -> str:
        """The name in words: “Tumbler, celadon”, or the piece's own."""
        return self.own_name or f"{self.form.name}, {self.finish.name}"

    def __str__(self) -> str:
        return self.name


class PriceTier(models.Model):
    """A price list, such as fair, online, trade, supporter or second."""

    name = models.CharField(max_length=40, unique=True)
    is_base = models.BooleanField(
        default=False, help_text="The list that percentages are taken of."
    )
    for_seconds = models.BooleanField(default=False, help_text="The list for second-grade pieces.")
    share_ppm = models.PositiveIntegerField(
        "share of the base price",
        null=True,
        blank=True,
        validators=[MaxValueValidator(10_000_000)],
        help_text="Parts per million of the base price where no price is set (500000: half).",
    )

    class Meta:
        ordering = ["-is_base", "name"]
        verbose_name = "price list"
        constraints = [
            models.UniqueConstraint(
                fields=["is_base"],
                condition=Q(is_base=True),
                name="tier_one_base",
                violation_error_message="There is a base price list already.",
            ),
            models.UniqueConstraint(
                fields=["for_seconds"],
                condition=Q(for_seconds=True),
                name="tier_one_for_seconds",
                violation_error_message="There is a price list for seconds already.",
            ),
            models.CheckConstraint(
                condition=Q(is_base=False) | Q(share_ppm__isnull=True),
                name="tier_base_is_no_share_of_itself",
                violation_error_message="The base price list can't be a share of itself.",
            ),
            models.CheckConstraint(
                condition=Q(is_base=False) | Q(for_seconds=False),
                name="tier_base_is_not_for_seconds",
                violation_error_message="The base price list can't be the one for seconds.",
            ),
        ]

    @property
    def percent(self) -> str:
        """The share of the base price in words: “60 %”; empty where there is none."""
        if self.share_ppm is None:
            return ""
        return f"{Decimal(self.share_ppm).scaleb(-4).normalize():f} %"

    def __str__(self) -> str:
        return self.name


class PriceQuerySet(models.QuerySet["Price"]):
    """Ways to ask for prices."""

    def in_force(self, on: datetime.date) -> "PriceQuerySet":
        """Prices that began on or before a day (the latest of each wins)."""
        return self.filter(from_date__lte=on)


class Price(models.Model):
    """What one ware, or one whole form, costs in a tier from a day on."""

    tier = models.ForeignKey(PriceTier, on_delete=models.PROTECT, related_name="prices")
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, related_name="prices", null=True, blank=True
    )
    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, related_name="prices", null=True, blank=True
    )
    amount = models.PositiveBigIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MAX_MONEY)],
        help_text="In minor units.",
    )
    from_date = models.DateField("from")
    set_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", editable=False)
    set_at = models.DateTimeField(editable=False)

    objects = PriceQuerySet.as_manager()

    class Meta:
        ordering = ["tier_id", "form_id", "ware_id", "from_date"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ware__isnull=True, form__isnull=False)
                | Q(ware__isnull=False, form__isnull=True),
                name="price_is_for_ware_or_form",
                violation_error_message="A price is either for one ware or for one form.",
            ),
            models.CheckConstraint(
                condition=Q(amount__gt=0),
                name="price_above_zero",
                violation_error_message="A price is above zero.",
            ),
            models.UniqueConstraint(
                fields=["tier", "ware", "from_date"],
                condition=Q(ware__isnull=False),
                name="price_once_a_day_per_ware",
                violation_error_message="This ware has a price from that day in this list.",
            ),
            models.UniqueConstraint(
                fields=["tier", "form", "from_date"],
                condition=Q(form__isnull=False),
                name="price_once_a_day_per_form",
                violation_error_message="This form has a price from that day in this list.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tier}: {self.ware or self.form} from {self.from_date}"
