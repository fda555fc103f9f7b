"""Kilns, firings and what each firing brought."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.house.models import Document, User
from vendor.ledger.models import Entry
from vendor.ware.models import Ware

MAX_PIECES = 5_000


class Kiln(models.Model):
    """A kiln with the shelf area that it offers."""

    name = models.CharField(max_length=60, unique=True)
    shelf_area_cm2 = models.PositiveIntegerField(
        "shelf area (cm²)",
        null=True,
        blank=True,
        help_text="All shelves together, for the value by area; empty where not measured.",
    )
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Firing(Document):
    """One kiln load, from the day it is fired until it has been unloaded."""

    class Kind(models.TextChoices):
        BISQUE = "bisque", "Bisque"
        GLAZE = "glaze", "Glaze"
        LUSTRE = "lustre", "Lustre"
        DECAL = "decal", "Decal"

    number = models.PositiveIntegerField(unique=True, editable=False)
    kiln = models.ForeignKey(Kiln, on_delete=models.PROTECT, related_name="firings")
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.GLAZE)
    cone = models.CharField(
        "cone aimed at", max_length=4, help_text="As on the box: 022 … 01, 1 … 14."
    )
    programmed_cone = models.CharField(
        max_length=4, blank=True, help_text="Where the controller is set to another cone."
    )
    fired_on = models.DateField()
    hours = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
        help_text="From switching on to unloading, for the value by hour.",
    )
    note = models.TextField(blank=True)
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    unloaded_at = models.DateTimeField(null=True, blank=True, editable=False)
    unloaded_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["-fired_on", "-number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(unloaded_at__isnull=True, unloaded_by__isnull=True)
                | Q(unloaded_at__isnull=False, unloaded_by__isnull=False),
                name="firing_unloaded_by_somebody",
            )
        ]

    @property
    def is_unloaded(self) -> bool:
        """Whether the kiln has been unloaded and counted."""
        return self.unloaded_at is not None

    def __str__(self) -> str:
        return f"Firing {self.number}"


class FiringLine(models.Model):
    """So many pieces of one ware in one firing, as loaded and as unloaded."""

    firing = models.ForeignKey(Firing, on_delete=models.CASCADE, related_name="lines")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    loaded = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MAX_PIECES)]
    )
    firsts = models.PositiveIntegerField(null=True, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    lost = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["firing", "ware"],
                name="firing_line_once_per_ware",
                violation_error_message="This ware is in the firing already.",
            ),
            models.CheckConstraint(condition=Q(loaded__gt=0), name="firing_line_loads_something"),
            # Every piece that went in comes out as a first, a second or a loss.
            models.CheckConstraint(
                condition=Q(firsts__isnull=True, seconds__isnull=True, lost__isnull=True)
                | Q(loaded=F("firsts") + F("seconds") + F("lost")),
                name="firing_line_adds_up",
                violation_error_message="Firsts, seconds and losses have to add up to the loaded.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.loaded} × {self.ware_id}"


class Loss(models.Model):
    """Why so many pieces of a firing line were lost."""

    class Cause(models.TextChoices):
        CRACKED = "cracked", "Cracked"
        WARPED = "warped", "Warped"
        BLOATED = "bloated", "Bloated"
        GLAZE_RAN = "glaze_ran", "Glaze ran"
        CRAWLED = "crawled", "Glaze crawled"
        STUCK = "stuck", "Stuck to the shelf"
        EXPLODED = "exploded", "Blew up"
        DROPPED = "dropped", "Dropped"
        OTHER = "other", "Something else"

    line = models.ForeignKey(FiringLine, on_delete=models.CASCADE, related_name="losses")
    cause = models.CharField(max_length=10, choices=Cause.choices)
    quantity = models.PositiveIntegerField()
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["line", "cause"], name="loss_once_per_cause"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="loss_loses_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.get_cause_display()}"
