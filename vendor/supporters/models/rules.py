"""Levels and rewards, and the dated rules of what a month earns and what a reward costs.

Rules are only ever added: a later one holds from its month on, and of two from one month the one
written down last.
"""

import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from vendor.house.models import Document
from vendor.ware.models import MAX_MONEY, Form, Ware

MAX_CREDITS = 1_000


def first_of_month(day: datetime.date) -> None:
    """Refuse a day that is not the first of its month."""
    if day.day != 1:
        raise ValidationError("A month is kept as its first day.")


class Reward(models.Model):
    """A piece that credits can earn: of one ware, of one form, or of a form to be chosen."""

    name = models.CharField(max_length=80, unique=True)
    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    seconds_allowed = models.BooleanField(
        default=False, help_text="Whether a second may keep this promise."
    )
    due_weeks = models.PositiveSmallIntegerField(
        "weeks until due",
        default=12,
        validators=[MaxValueValidator(260)],
        help_text="From the day it is promised: throwing, drying and two firings take weeks.",
    )
    note = models.CharField(max_length=200, blank=True)
    retired = models.BooleanField(default=False, help_text="Not promised any more.")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(form__isnull=True) | Q(ware__isnull=True),
                name="reward_is_of_form_or_ware",
                violation_error_message="A reward is of one ware or of one form, not of both.",
            )
        ]

    @property
    def shape(self) -> Form | None:
        """The form of the piece, where it is not left to choose."""
        return self.ware.form if self.ware is not None else self.form

    def __str__(self) -> str:
        return self.name


class RewardTerms(Document):
    """What a reward costs from a month on, and under which conditions."""

    reward = models.ForeignKey(Reward, on_delete=models.PROTECT, related_name="terms")
    from_month = models.DateField("from", validators=[first_of_month])
    cost = models.PositiveIntegerField(
        "credits", validators=[MinValueValidator(1), MaxValueValidator(MAX_CREDITS)]
    )
    unbroken = models.BooleanField(
        "a missed month breaks the run",
        default=False,
        help_text="Only credits since the last missed month count toward it.",
    )
    limit = models.PositiveIntegerField(
        "at most",
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text="How many one supporter can have in all; 1: once; empty: again and again.",
    )

    class Meta:
        ordering = ["reward_id", "from_month", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(cost__gte=1, cost__lte=MAX_CREDITS), name="reward_costs_something"
            ),
            models.CheckConstraint(
                condition=Q(limit__isnull=True) | Q(limit__gte=1), name="reward_limit_above_zero"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.reward}: {self.cost} from {self.from_month}"


class Level(models.Model):
    """What a supporter signs up for, and the reward that it usually leads to."""

    name = models.CharField(max_length=60, unique=True)
    usual_reward = models.ForeignKey(
        Reward, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired = models.BooleanField(default=False, help_text="Not offered any more.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class LevelTerms(Document):
    """What a level contributes and earns each paid month, from a month on."""

    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="terms")
    from_month = models.DateField("from", validators=[first_of_month])
    amount = models.PositiveBigIntegerField(
        "contribution a month", validators=[MaxValueValidator(MAX_MONEY)]
    )
    credits = models.PositiveIntegerField(
        "credits a paid month", validators=[MaxValueValidator(MAX_CREDITS)]
    )

    class Meta:
        ordering = ["level_id", "from_month", "id"]
        verbose_name_plural = "level terms"

    def __str__(self) -> str:
        return f"{self.level}: {self.credits} from {self.from_month}"


class Question(models.Model):
    """One thing that the supporter chooses about a reward."""

    class Kind(models.TextChoices):
        FORM = "form", "Form"
        FINISH = "finish", "Finish"
        OPTION = "option", "One of a list (motif, colour, size …)"
        LETTERING = "lettering", "Lettering"

    reward = models.ForeignKey(Reward, on_delete=models.PROTECT, related_name="questions")
    position = models.PositiveSmallIntegerField(default=1)
    kind = models.CharField(max_length=9, choices=Kind.choices)
    name = models.CharField(max_length=40, help_text="As you would ask for it: Motif, Colour …")
    options = models.JSONField(
        default=list, blank=True, help_text="What can be chosen; empty for form or finish: all."
    )
    longest = models.PositiveSmallIntegerField(
        "longest lettering",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text="In characters: what there is room for on the pot.",
    )
    required = models.BooleanField(default=True)
    retired = models.BooleanField(default=False, help_text="Not asked any more.")

    class Meta:
        ordering = ["reward_id", "position", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["reward", "kind"],
                condition=Q(kind__in=["form", "finish"], retired=False),
                name="question_one_form_and_finish",
                violation_error_message="This reward asks for that already.",
            ),
            models.CheckConstraint(
                condition=~Q(kind="lettering") | Q(longest__isnull=False),
                name="question_lettering_has_a_length",
                violation_error_message="Say how many characters there is room for.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
