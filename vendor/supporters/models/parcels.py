"""The parcels that promised pieces leave in."""

from django.db import models
from django.db.models import Q

from vendor.house.models import Document
from vendor.supporters.models.people import Supporter
from vendor.ware.models import MAX_MONEY


class Parcel(Document):
    """What went out together to one supporter: carrier, tracking and postage."""

    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="parcels")
    carrier = models.CharField(max_length=40, blank=True)
    tracking = models.CharField("tracking number", max_length=60, blank=True)
    cost = models.PositiveBigIntegerField(
        "postage", null=True, blank=True, help_text="In minor units."
    )
    sent_on = models.DateField()

    class Meta:
        ordering = ["-sent_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(cost__isnull=True) | Q(cost__lte=MAX_MONEY), name="parcel_cost_in_range"
            )
        ]

    def __str__(self) -> str:
        return f"Parcel {self.pk}"
