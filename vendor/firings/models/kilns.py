"""The kilns that are fired."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q


class Kiln(models.Model):
    """A kiln with the shelf area that it offers."""

    name = models.CharField(max_length=60, unique=True)
    shelf_area_cm2 = models.PositiveIntegerField(
        "shelf area (cm²)",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(1_000_000)],
        help_text="All shelves together, for the value by area; empty where not measured.",
    )
    note = models.TextField(blank=True)
    retired = models.BooleanField(default=False, help_text="Not fired any more.")

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(shelf_area_cm2__isnull=True) | Q(shelf_area_cm2__gt=0),
                name="kiln_area_above_zero",
                violation_error_message="A shelf area is above zero; leave it empty if unknown.",
            )
        ]

    def __str__(self) -> str:
        return self.name
