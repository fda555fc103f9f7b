"""The field that the pages of the kiln share: a cone."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from vendor.firings.cones import Cone, NotACone


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
