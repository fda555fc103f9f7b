"""Fields that the pages of the kiln share: a cone, and a number of pieces."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from vendor.firings.cones import Cone, NotACone
from vendor.firings.models import MAX_PIECES
from vendor.house.widgets import CountInput


class ConeField(forms.CharField):
    """A cone as potters write it (“06”, “5.5”, “cone 6”), kept by its own name."""

    def to_python(self, value: Any) -> str:
        """Return the cone's own name, or an empty text."""
        text = str(super().to_python(value) or "")
        if not text:
            return ""
        try:
            return str(Cone.of(text))
        except NotACone:
            raise ValidationError(
                f"“{text[:20]}” is no cone. Write one from 022 to 01 or from 1 to 14, such as 06, "
                "6 or 5½; the leading zero counts: 06 is far cooler than 6."
            ) from None


def pieces_field(label: str, initial: int | None = None) -> forms.IntegerField:
    """Return a field for a number of whole pieces; left empty it is none."""
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=MAX_PIECES,
        initial=initial,
        widget=CountInput({"max": MAX_PIECES, "aria-label": label}),
        error_messages={
            "invalid": "Write a whole number of pieces, such as 12.",
            "min_value": "A number of pieces can't be below zero.",
            "max_value": f"No line has more than {MAX_PIECES} pieces; look for a slip of the keys.",
        },
    )
