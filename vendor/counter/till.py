"""Cash that goes into and out of the till other than by a sale. `cashbox` writes it."""

from django.db import models
from django.db.models import Q

from vendor.fairs.models import Weekend
from vendor.house.models import Document


class TillMovement(Document):
    """Cash that went into or out of the till other than by a sale."""

    class Kind(models.TextChoices):
        FLOAT = "float", "Float"
        PAID_IN = "paid_in", "Paid in"
        PAID_OUT = "paid_out", "Paid out"

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="till_movements")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    amount = models.BigIntegerField(help_text="Minor units, above zero.")
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        app_label = "counter"
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="till_movement_above_zero"),
            models.UniqueConstraint(
                fields=["weekend"],
                condition=Q(kind="float"),
                name="till_one_float_a_weekend",
                violation_error_message="The float of this weekend is entered already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount}"
