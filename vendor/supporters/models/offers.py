"""Pieces set aside to be bought: early by supporters, or online; and what sold of them."""

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.house.models import Document, User
from vendor.ledger.models import Entry, Hold
from vendor.ware.models import MAX_MONEY, Grade, PriceTier, Ware


class EarlyRelease(Document):
    """Pieces that supporters may buy before others, from a day up to and including a day."""

    name = models.CharField(max_length=60, unique=True)
    opens_on = models.DateField("from")
    closes_on = models.DateField("up to and including")
    tier = models.ForeignKey(
        PriceTier, on_delete=models.PROTECT, related_name="+", verbose_name="price list"
    )
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    returned = models.PositiveIntegerField(
        null=True, blank=True, editable=False, help_text="Pieces that went back to free stock."
    )

    class Meta:
        ordering = ["-opens_on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closes_on__gte=F("opens_on")),
                name="early_release_ends_after_it_opens",
                violation_error_message="An early release ends on or after the day it opens.",
            )
        ]

    def is_open(self, today: datetime.date) -> bool:
        """Whether supporters can buy on this day."""
        return self.ended_at is None and self.opens_on <= today <= self.closes_on

    def is_over(self, today: datetime.date) -> bool:
        """Whether its last day has passed."""
        return self.closes_on < today

    def __str__(self) -> str:
        return self.name


class EarlyPiece(models.Model):
    """One piece set aside for an early release: a hold of its own."""

    release = models.ForeignKey(EarlyRelease, on_delete=models.PROTECT, related_name="pieces")
    hold = models.OneToOneField(Hold, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.release}: {self.hold_id}"


class ShopSale(Document):
    """Pieces sold to a supporter early, or online: what, for how much, and its ledger entry."""

    class Channel(models.TextChoices):
        EARLY = "early", "Early release"
        ONLINE = "online", "Online"

    channel = models.CharField(max_length=6, choices=Channel.choices)
    release = models.ForeignKey(
        EarlyRelease, on_delete=models.PROTECT, null=True, blank=True, related_name="sales"
    )
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    quantity = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    price = models.PositiveBigIntegerField(
        "price of one", validators=[MaxValueValidator(MAX_MONEY)], help_text="In minor units."
    )
    tier_name = models.CharField("price list", max_length=40, blank=True)
    sold_on = models.DateField("sold on")
    reference = models.CharField("order number", max_length=60, blank=True)
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-sold_on", "-id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="shop_sale_sells_something"),
            models.CheckConstraint(
                condition=Q(channel="early", release__isnull=False)
                | Q(channel="online", release__isnull=True),
                name="shop_sale_early_names_its_release",
            ),
        ]

    @property
    def total(self) -> int:
        """What it came to, in minor units."""
        return self.quantity * self.price

    def __str__(self) -> str:
        return f"Sale {self.pk}"
