"""Who works here, and the one row of settings that the whole house reads."""

import uuid
import zoneinfo

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models


def new_key() -> str:
    """Return a fresh key for a document or a form that can be sent twice."""
    return uuid.uuid4().hex


class User(AbstractUser):
    """A person with a login: the owner of the studio, or a helper at the stall."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        HELPER = "helper", "Helper"

    role = models.CharField(
        max_length=10,
        choices=Role.choices,
        default=Role.HELPER,
        help_text="A helper sells and counts, and sees no costs, addresses or settings.",
    )

    @property
    def is_owner(self) -> bool:
        """Whether this person may see and change everything."""
        return self.role == self.Role.OWNER

    def __str__(self) -> str:
        return self.get_full_name() or self.username


def _known_time_zone(value: str) -> None:
    """Refuse a time zone that this machine does not know."""
    if value not in zoneinfo.available_timezones():
        raise ValidationError(f"“{value}” is not a time zone that this computer knows.")


class Studio(models.Model):
    """The studio's settings: a single row, whose primary key is always 1."""

    class Unit(models.TextChoices):
        CM = "cm", "Centimetres and kilograms"
        INCH = "in", "Inches and pounds"

    class Rounding(models.TextChoices):
        LINE = "line", "On each line"
        RECEIPT = "receipt", "On the whole receipt"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField("studio name", max_length=80)
    currency = models.CharField(
        max_length=3, help_text="The three letters of ISO 4217, for example USD or EUR."
    )
    language = models.CharField(
        max_length=12,
        default="en_US",
        help_text="How money and dates are written, for example en_US or de_DE.",
    )
    time_zone = models.CharField(max_length=64, default="UTC", validators=[_known_time_zone])
    units = models.CharField(max_length=2, choices=Unit.choices, default=Unit.CM)
    price_step = models.PositiveIntegerField(
        default=100,
        help_text="Worked-out prices move in steps of this many minor units (100: whole dollars).",
    )
    price_ending = models.PositiveIntegerField(
        default=0,
        help_text="What a worked-out price ends in within a step (50 with a step of 100: …​.50).",
    )
    tax_rounding = models.CharField(
        max_length=8,
        choices=Rounding.choices,
        default=Rounding.RECEIPT,
        help_text="Where tax is rounded to a whole minor unit. Keep one way within a tax period.",
    )
    service_level_percent = models.PositiveSmallIntegerField(
        default=80,
        help_text="How many weekends out of a hundred a ware should last to the end.",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="studio_has_one_row"),
            models.CheckConstraint(
                condition=models.Q(price_step__gt=0)
                & models.Q(price_ending__lt=models.F("price_step")),
                name="studio_price_ending_lies_in_its_step",
                violation_error_message="The price ending has to be smaller than the price step.",
            ),
            models.CheckConstraint(
                condition=models.Q(service_level_percent__gte=1)
                & models.Q(service_level_percent__lte=99),
                name="studio_service_level_is_a_percentage",
                violation_error_message="The service level lies between 1 and 99 per cent.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Document(models.Model):
    """What every document carries: a key of its own, who made it, and when."""

    key = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", editable=False)
    made_at = models.DateTimeField(editable=False)

    class Meta:
        abstract = True
