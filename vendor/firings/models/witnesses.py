"""What witness cones showed."""

from django.db import models

from vendor.firings.models.firings import Firing
from vendor.firings.validators import known_cone


class WitnessCone(models.Model):
    """The heat-work that a witness cone showed on one shelf of one firing."""

    firing = models.ForeignKey(Firing, on_delete=models.CASCADE, related_name="witness_cones")
    shelf = models.CharField(max_length=30, help_text="Where it stood: top, middle, bottom …")
    cone = models.CharField(
        "cone reached",
        max_length=4,
        validators=[known_cone],
        help_text="The hottest cone whose tip is down.",
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["firing", "shelf"],
                name="witness_cone_once_per_shelf",
                violation_error_message="There is a witness cone for this shelf already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.shelf}: cone {self.cone}"
