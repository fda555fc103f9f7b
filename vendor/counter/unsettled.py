"""Documents that devices sent and that can't be taken as they stand. `intake` writes them."""

from django.db import models
from django.db.models import Q

from vendor.counter.commission import Commission
from vendor.fairs.models import Weekend
from vendor.house.models import User


class Unsettled(models.Model):
    """A document that can't be taken as it stands, kept whole until the owner settles it.

    Of a commission, what it says of the customer goes as soon as it is settled.
    """

    class Kind(models.TextChoices):
        SALE = "sale", "Sale"
        COMMISSION = "commission", "Commission"

    class Why(models.TextChoices):
        CLOSED = "closed", "The weekend is closed"
        DAY = "day", "No selling day"
        WARE = "ware", "Unknown or retired ware"
        PRICE = "price", "A price that the list does not know"
        HELD = "held", "A held piece"
        FIGURES = "figures", "Figures that do not add up"
        TERMS = "terms", "Another tax, currency or fair than ours"
        KEY = "key", "Other contents under a key that was used"
        SELLER = "seller", "A seller whose pass is not ours"

    key = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.SALE)
    document = models.JSONField()
    digest = models.CharField(max_length=64, blank=True)
    weekend = models.ForeignKey(
        Weekend, on_delete=models.PROTECT, related_name="unsettled", null=True, blank=True
    )
    why = models.CharField(max_length=8, choices=Why.choices)
    reason = models.CharField(max_length=400)
    received_at = models.DateTimeField()
    sent_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    settlement = models.CharField(max_length=200, blank=True)
    sale = models.OneToOneField(
        "counter.Sale", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    commission = models.OneToOneField(
        Commission, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        app_label = "counter"
        ordering = ["id"]
        verbose_name_plural = "unsettled"
        constraints = [
            models.CheckConstraint(
                condition=Q(settled_at__isnull=True, settled_by__isnull=True, settlement="")
                | Q(settled_at__isnull=False, settled_by__isnull=False) & ~Q(settlement=""),
                name="unsettled_is_settled_by_somebody_in_words",
            )
        ]

    def __str__(self) -> str:
        return f"Unsettled {self.key}"
