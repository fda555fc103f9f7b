"""Fields that several parts fill in: a number of whole pieces, an amount of money."""

from typing import Any, ClassVar

from django import forms

from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.money import MAX_MINOR, Currency, parse_amount, typed_amount
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

    The form tells it whose: `in_currency(self, studio)`. An amount is zero or more, `above_zero`
    where that is said, and `most` at most. An empty field that is not required is None.
    """

    default_error_messages: ClassVar = {
        "nothing": "This has to be above zero.",
        "too_much": "That is too much to be entered here; look for a slip of the keys.",
    }
    studio: Studio

    def __init__(self, *, above_zero: bool = False, most: int = MAX_MINOR, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        )
        super().__init__(**kwargs)
        self.above_zero, self.most = above_zero, most

    def clean(self, value: Any) -> Any:
        """Return the amount in minor units, or None where nothing was typed."""
        text = super().clean(value)
        if not text:
            return None
        try:
            amount = parse_amount(text, Currency.of(self.studio.currency), self.studio.language)
        except Refused as refusal:
            raise forms.ValidationError(refusal.message) from None
        if self.above_zero and amount == 0:
            raise forms.ValidationError(self.error_messages["nothing"], code="nothing")
        if amount > self.most:
            raise forms.ValidationError(self.error_messages["too_much"], code="too_much")
        return amount

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


def in_currency(form: forms.BaseForm, studio: Studio) -> None:
    """Let the form's amounts be read and shown in a studio's currency and language."""
    for field in form.fields.values():
        if isinstance(field, MoneyField):
            field.studio = studio
