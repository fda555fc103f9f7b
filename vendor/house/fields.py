"""Fields that several parts fill in: a number of whole pieces, an amount of money."""

from typing import Any

from django import forms

from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.money import Currency, parse_amount, typed_amount
from vendor.house.widgets import CountInput


def pieces_field(label: str, *, most: int, initial: int | None = None) -> forms.IntegerField:
    """Return a field for a number of whole pieces from 0 to `most`; left empty it is None."""
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=most,
        initial=initial,
        widget=CountInput({"max": most, "aria-label": label}),
        error_messages={
            "invalid": "Write a whole number of pieces, such as 12.",
            "min_value": "A number of pieces can't be below zero.",
            "max_value": f"At most {most:,} can be entered here; look for a slip of the keys.",
        },
    )


class MoneyField(forms.CharField):
    """An amount as people write it, read into whole minor units of the studio's currency.

    The form gives it its studio: `form.fields["amount"].studio = studio`. An empty field that is
    not required is None.
    """

    studio: Studio

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Any:
        """Return the amount in minor units, or None where nothing was typed."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_amount(text, Currency.of(self.studio.currency), self.studio.language)
        except Refused as refusal:
            raise forms.ValidationError(refusal.message) from None

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Tell whether another amount was typed; the same one written otherwise is no change."""
        try:
            return bool(self.clean(data) != initial)
        except forms.ValidationError:
            return True

    def prepare_value(self, value: Any) -> Any:
        """Show an amount in minor units as it would be typed; what was typed stays as it was."""
        if isinstance(value, int):
            currency = Currency.of(self.studio.currency)
            return typed_amount(value, currency, self.studio.language)
        return value
