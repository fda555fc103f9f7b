"""What comes back of a sale and what goes out for it."""

from typing import Any

from django import forms

from vendor.counter.back_form import BackForm
from vendor.counter.figures import Method
from vendor.counter.models import Way
from vendor.counter.prices import Listed, Piece
from vendor.counter.rung import Rung
from vendor.house.models import Studio
from vendor.house.written import bare_money
from vendor.ledger.posting import piece
from vendor.ware.models import Grade, Ware

ROWS = 4


class ExchangeForm(BackForm):
    """For each line how many come back and where they go; and up to four pieces that go out."""

    def __init__(
        self,
        *args: Any,
        wares: list[Ware],
        prices: dict[Piece, Listed],
        studio: Studio,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.prices = prices
        named = [
            (f"{ware.pk} {grade}", f"{piece(ware, grade)}, {bare_money(price.amount, studio)}")
            for ware in wares
            for grade in Grade.values
            if (price := prices.get((ware.pk, grade))) is not None
        ]
        way = self.fields.pop("way")
        reason = self.fields.pop("reason")
        till = self.fields.pop("till", None)
        for row in range(1, ROWS + 1):
            self.fields[f"out_{row}"] = forms.ChoiceField(
                label="Instead" if row == 1 else "And", choices=[("", "nothing"), *named],
                required=row == 1,
            )  # fmt: skip
            self.fields[f"pieces_{row}"] = forms.IntegerField(
                label="How many", min_value=1, max_value=999, initial=1, required=False,
                widget=forms.NumberInput(attrs={"class": "count"}),
            )  # fmt: skip
        way.label = "The difference is paid or given back"
        assert isinstance(way, forms.ChoiceField)
        way.choices = list(Way.choices)
        self.fields["way"] = way
        if till is not None:
            till.label = "In which cash box"
            self.fields["till"] = till
        self.fields["reason"] = reason

    def lines_out(self) -> list[Rung]:
        """Return what goes out, at the fair's prices."""
        found = []
        for row in range(1, ROWS + 1):
            chosen = self.cleaned_data[f"out_{row}"]
            if chosen:
                ware, _, grade = chosen.partition(" ")
                price = self.prices[int(ware), grade]
                found.append(
                    Rung(
                        ware_id=int(ware), grade=grade, list_price=price.amount, tier=price.tier,
                        quantity=self.cleaned_data[f"pieces_{row}"] or 1,
                    )
                )  # fmt: skip
        return found

    def method(self) -> Method:
        """Return how the difference changes hands."""
        return Method(self.cleaned_data["way"])
