"""Who works here, and the one row of settings that the whole house reads."""

import uuid
import zoneinfo
from typing import ClassVar

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

    is_a_person: ClassVar = True

    role = models.CharField(
        max_length=10,
        choices=Role.choices,
        default=Role.HELPER,
        help_text="A helper sells and counts, and sees no costs, addresses or settings.",
    )

    class Meta(AbstractUser.Meta):
        verbose_name = "person"
        verbose_name_plural = "people"

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


class Change(models.Model):
    """One change of something that keeps no history of its own: who, when, from what to what.

    Written by `vendor.house.changes` alone; the database refuses to change or delete a row.
    `number` is the primary key of the thing, which may be gone by now. Each of `fields` is a
    list: the field in words, what it was, what it became; of people only the field.
    """

    class What(models.TextChoices):
        ADDED = "added", "Added"
        CHANGED = "changed", "Changed"
        REMOVED = "removed", "Taken away"

    who = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", editable=False)
    at = models.DateTimeField(editable=False)
    what = models.CharField(max_length=8, choices=What.choices, editable=False)
    thing = models.CharField(max_length=60, editable=False)
    number = models.BigIntegerField(editable=False)
    kind = models.CharField(max_length=60, editable=False)
    name = models.CharField(max_length=200, blank=True, editable=False)
    fields = models.JSONField(default=list, editable=False)
    key = models.CharField(max_length=130, unique=True, null=True, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["thing", "number", "-at"], name="change_by_thing"),
            models.Index(fields=["-at", "-id"], name="change_latest_first"),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.kind} {self.name}"
