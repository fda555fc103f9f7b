"""Exchanges: pieces that came back and pieces that went out for them, as one act.

`vendor.counter.exchanging` writes it. Append-only, like the two records that it links.
"""

from django.db import models

from vendor.house.models import Document


class Exchange(Document):
    """One exchange: what was taken back, and the sale that went out for it."""

    back = models.OneToOneField(
        "counter.TakenBack", on_delete=models.PROTECT, related_name="exchange"
    )
    sale = models.OneToOneField("counter.Sale", on_delete=models.PROTECT, related_name="exchange")

    class Meta:
        app_label = "counter"
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.back.sale} exchanged"
