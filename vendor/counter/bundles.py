"""Bundles: so many pieces of one form or ware for one price, from one day to another.

The page lays a bundle on the lines of a sale as a discount with the bundle's name as the reason;
the sale then keeps it as a fact, whatever becomes of the rule.
"""

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.fairs.models import Fair
from vendor.house.models import Document
from vendor.ware.models import MAX_MONEY, Form, Ware


class BundleQuerySet(models.QuerySet["Bundle"]):
    """Ways to ask for bundles."""

    def in_force(self, *, fair: Fair, on: datetime.date) -> "BundleQuerySet":
        """Bundles that hold at a fair on a day, the largest first."""
        return self.filter(
            Q(fair__isnull=True) | Q(fair=fair),
            Q(to_date__isnull=True) | Q(to_date__gte=on),
            from_date__lte=on,
        ).order_by("-quantity", "id")


class Bundle(Document):
    """So many firsts of one form, or of one ware, for one price."""

    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    fair = models.ForeignKey(
        Fair,
        on_delete=models.PROTECT,
        related_name="bundles",
        null=True,
        blank=True,
        help_text="Empty: at every fair.",
    )
    quantity = models.PositiveIntegerField(
        validators=[MinValueValidator(2), MaxValueValidator(100)]
    )
    price = models.PositiveBigIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MAX_MONEY)],
        help_text="For all of them together, in minor units.",
    )
    from_date = models.DateField("from")
    to_date = models.DateField(
        "to", null=True, blank=True, help_text="Empty: until further notice."
    )

    objects = BundleQuerySet.as_manager()

    class Meta:
        app_label = "counter"
        ordering = ["-from_date", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(form__isnull=True, ware__isnull=False)
                | Q(form__isnull=False, ware__isnull=True),
                name="bundle_is_of_a_form_or_a_ware",
                violation_error_message="A bundle is either of one form or of one ware.",
            ),
            models.CheckConstraint(
                condition=Q(quantity__gte=2, price__gt=0), name="bundle_bundles_something"
            ),
            models.CheckConstraint(
                condition=Q(to_date__isnull=True) | Q(to_date__gte=F("from_date")),
                name="bundle_ends_after_it_begins",
                violation_error_message="A bundle can't end before it begins.",
            ),
        ]

    @property
    def of(self) -> str:
        """What it is of, in words."""
        return str(self.form or self.ware)

    def __str__(self) -> str:
        return f"{self.quantity} × {self.of}"
