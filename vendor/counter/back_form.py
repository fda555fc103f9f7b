"""What comes back of a sale and where it goes, how the money goes back; why one is undone."""

from typing import Any

from django import forms

from vendor.counter.figures import Method
from vendor.counter.models import Sale, SaleLine, TakenBackLine
from vendor.counter.returns import Brought
from vendor.counter.till import FIRST_TILL

_WAYS = (
    (Method.CASH.value, "In cash"),
    (Method.CARD.value, "By card: on the terminal"),
    (Method.OTHER.value, "Another way"),
)


class UndoForm(forms.Form):
    """Why a sale is undone."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    reason = forms.CharField(label="Why", max_length=200)


class BackForm(forms.Form):
    """For each line of the sale, how many come back and where they go."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(
        self,
        *args: Any,
        sale: Sale,
        before: dict[int, int],
        boxes: dict[int, str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lines: list[SaleLine] = []
        lines = list(sale.lines.all())
        for line in lines:
            out = line.quantity - before.get(line.pk, 0)
            if out > 0:
                self.lines.append(line)
                # Of a sale of one piece it is that one; else the seller says which.
                self._add_line(line, out, first=1 if len(lines) == out == 1 else 0)
        self.fields["way"] = forms.ChoiceField(
            label="The money goes back", choices=_WAYS, widget=forms.RadioSelect
        )
        if len(boxes) > 1:
            self.fields["till"] = forms.TypedChoiceField(
                label="Out of which cash box", coerce=int, choices=list(boxes.items()),
                help_text="Where it goes back in cash.",
            )  # fmt: skip
        self.fields["reason"] = forms.CharField(label="Why", max_length=200)

    def till(self) -> int:
        """Return the number of the cash box that the money comes out of."""
        return int(self.cleaned_data.get("till", FIRST_TILL))

    def _add_line(self, line: SaleLine, out: int, *, first: int) -> None:
        name = f"{line.name} (second)" if line.grade == "second" else line.name
        self.fields[f"many_{line.pk}"] = forms.IntegerField(
            label=f"{name}: how many come back",
            min_value=0,
            max_value=out,
            initial=first,
            help_text=f"Still out: {out}.",
            widget=forms.NumberInput(attrs={"class": "count"}),
        )
        self.fields[f"into_{line.pk}"] = forms.ChoiceField(
            label="They go", choices=TakenBackLine.Into.choices
        )

    def brought(self) -> list[Brought]:
        """Return what comes back."""
        return [
            Brought(line=line, quantity=many, into=self.cleaned_data[f"into_{line.pk}"])
            for line in self.lines
            if (many := self.cleaned_data[f"many_{line.pk}"])
        ]

    def method(self) -> Method:
        """Return how the money goes back."""
        return Method(self.cleaned_data["way"])
