"""Reading the forms of early releases and the online bin."""

from typing import Any

from django import forms

from vendor.house.fields import MoneyField, in_currency, pieces_field
from vendor.house.models import Studio
from vendor.house.widgets import DayInput
from vendor.supporters.forms import KeyedForm, ReasonForm, WareChoice
from vendor.supporters.offering import MOST
from vendor.ware.models import MAX_MONEY, Grade, PriceTier, Ware


class ReleaseForm(KeyedForm):
    """An early release: its name, its days, its price list."""

    name = forms.CharField(max_length=60, help_text="As you will write of it: Winter letter.")
    opens_on = forms.DateField(label="From", widget=DayInput)
    closes_on = forms.DateField(label="Up to and including", widget=DayInput)
    tier = forms.ModelChoiceField(
        PriceTier.objects.filter(for_seconds=False), label="Price list", empty_label=None
    )


class PieceForm(KeyedForm):
    """So many pieces of a ware and grade."""

    ware = WareChoice(Ware.objects.current().named())
    grade = forms.ChoiceField(choices=Grade.choices, initial=Grade.FIRST)
    quantity = pieces_field("Pieces", most=MOST, initial=1)

    def clean_quantity(self) -> int:
        """Return at least one piece."""
        quantity = self.cleaned_data["quantity"]
        if not quantity:
            raise forms.ValidationError("At least one piece.")
        return int(quantity)


class PieceReasonForm(PieceForm, ReasonForm):
    """Which pieces go back, and why."""

    field_order = ["ware", "grade", "quantity", "reason"]


class SaleForm(PieceForm):
    """A sale of what is set aside."""

    price = MoneyField(label="Price of one", most=MAX_MONEY)
    sold_on = forms.DateField(label="Sold on", widget=DayInput)
    reference = forms.CharField(max_length=60, required=False, label="Order number")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)
