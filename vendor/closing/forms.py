"""Reading what a person typed while counting; nothing here writes."""

from collections.abc import Sequence
from typing import Any

from django import forms

from vendor.closing.card_rows import Columns
from vendor.closing.models import MOST_COUNTED
from vendor.closing.queries import StallLine
from vendor.counter.till import FIRST_TILL
from vendor.house.cells import ORDERS
from vendor.house.coins import denominations
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio
from vendor.house.money import Currency, format_amount
from vendor.house.widgets import CountInput
from vendor.ledger.actions import Counted

MOST_COINS = 100_000
Spots = Sequence[tuple[int, str, str]]  # ware, grade, name


class CountForm(forms.Form):
    """How many stand there of one ware and grade; `saw` is the count it follows on.

    `how` says whether that is all there is, or (“more”) stands elsewhere too, in a corner `where`.
    """

    counted = forms.IntegerField(
        min_value=0, max_value=MOST_COUNTED, widget=CountInput,
        error_messages={"required": "Nothing was typed: nought counts too."},
    )  # fmt: skip
    saw = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    how = forms.ChoiceField(choices=[("all", ""), ("more", "")], required=False)
    where = forms.CharField(max_length=40, required=False)

    def __init__(self, line: StallLine, told: Any = None) -> None:
        """Start empty before the first count, so that nothing is counted by accident."""
        super().__init__(
            told,
            initial={"counted": line.counted, "saw": line.version},
            auto_id=f"id_{line.ware.pk}_{line.grade}_%s",
        )
        self.line = line
        self.fields["counted"].widget.attrs["aria-label"] = f"{line.name}: pieces counted"


class CashForm(forms.Form):
    """The money in the till: a total, or how many of each note and coin."""

    total = MoneyField(required=False, label="Counted, all together")
    saw = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, studio: Studio, **more: Any) -> None:
        """Offer the notes and coins of the studio's currency."""
        super().__init__(*args, **more)
        in_currency(self, studio)
        self.currency = Currency.of(studio.currency)
        for worth in denominations(self.currency):
            self.fields[f"n{worth}"] = forms.IntegerField(
                required=False, min_value=0, max_value=MOST_COINS,
                widget=CountInput(attrs={"data-worth": worth}),
                label=format_amount(worth, self.currency, studio.language),
            )  # fmt: skip

    @property
    def purse(self) -> list[forms.BoundField]:
        """The fields of the notes and coins, the largest first."""
        return [self[f"n{worth}"] for worth in denominations(self.currency)]

    @property
    def has_coins(self) -> bool:
        """Whether any note or coin was filled in, or is to be shown so."""
        return any(field.value() not in (None, "", 0) for field in self.purse)

    def clean(self) -> dict[str, Any]:
        """Refuse a form with nothing in it: an empty till is a nought."""
        told = super().clean() or {}
        if not self.errors and told.get("total") is None and not self.pieces():
            self.add_error("total", "Nothing was typed. If the till is empty, type a nought.")
        return told

    def pieces(self) -> dict[int, int]:
        """Return how many of each note and coin, by worth in minor units."""
        found = {
            worth: self.cleaned_data.get(f"n{worth}") or 0 for worth in denominations(self.currency)
        }
        return {worth: number for worth, number in found.items() if number}


class TakeOutForm(forms.Form):
    """Cash that is taken out of a till once it is counted, and where it goes."""

    amount = MoneyField(above_zero=True, label="Taken out")
    reason = forms.CharField(max_length=200, label="Where to", help_text="Home, or to the bank.")

    layout = "two"

    def __init__(self, *args: Any, studio: Studio, **more: Any) -> None:
        """Read the amount in the studio's currency."""
        super().__init__(*args, **more)
        in_currency(self, studio)


class StatementForm(forms.Form):
    """A card statement as a file."""

    file = forms.FileField(
        label="Card statement", help_text="CSV or XLSX, as the card company lets you save it."
    )


class ColumnsForm(forms.Form):
    """What each column of a statement means."""

    amount = forms.ChoiceField(label="What the customer was charged")
    day = forms.ChoiceField(label="Day, or day and time")
    time = forms.ChoiceField(required=False, label="Time, where it has a column of its own")
    fee = forms.ChoiceField(required=False, label="Fee, where there is one")
    text = forms.ChoiceField(required=False, label="What tells lines apart: a number or a text")
    order = forms.ChoiceField(label="How days are written", choices=list(ORDERS.items()))
    net = forms.BooleanField(
        required=False, label="The amount is what was paid out, after the fee was taken off"
    )

    layout = "two"

    def __init__(self, *args: Any, head: list[str], **more: Any) -> None:
        """Offer the heads of the file."""
        super().__init__(*args, **more)
        heads = [(name, name) for name in head]
        for name in ("amount", "day", "time", "fee", "text"):
            choices = heads if self.fields[name].required else [("", "none"), *heads]
            self.fields[name].choices = choices  # type: ignore[attr-defined]

    def columns(self) -> Columns:
        """Return what was chosen."""
        return Columns(**self.cleaned_data)


class AmendForm(forms.Form):
    """What a statement got wrong: in words, and the pieces or the cash where they differ."""

    reason = forms.CharField(max_length=200, label="What was wrong")
    piece = forms.ChoiceField(required=False, label="Which pieces, if any")
    stands = forms.IntegerField(
        required=False, min_value=0, max_value=MOST_COUNTED, widget=CountInput,
        label="How many stand on the stall now",
    )  # fmt: skip
    way = forms.ChoiceField(
        required=False, label="The till held",
        choices=[("", "what is stated"), ("more", "more"), ("less", "less")],
    )  # fmt: skip
    difference = MoneyField(required=False, above_zero=True, label="How much more or less")
    box = forms.TypedChoiceField(required=False, coerce=int, label="Which cash box")

    layout = "two"

    def __init__(
        self, *args: Any, studio: Studio, pieces: Spots, others: Spots, boxes: dict[int, str],
        **more: Any,
    ) -> None:  # fmt: skip
        """Offer the statement's own lines first, then all other ware; boxes where several are."""
        super().__init__(*args, **more)
        in_currency(self, studio)
        groups: list[Any] = [("", "none"), *_offered(pieces)]
        if others:
            groups.append(("Not in the statement", _offered(others)))
        self.fields["piece"].choices = groups  # type: ignore[attr-defined]
        if len(boxes) > 1:
            self.fields["box"].choices = list(boxes.items())  # type: ignore[attr-defined]
        else:
            del self.fields["box"]

    def clean(self) -> dict[str, Any]:
        """Refuse a number without its pieces, and an amount that says not which way."""
        told = super().clean() or {}
        if self.errors:
            return told
        if bool(told.get("piece")) != (told.get("stands") is not None):
            self.add_error("stands", "Say both: which pieces, and how many stand there now.")
        if bool(told.get("way")) != (told.get("difference") is not None):
            self.add_error("difference", "Say both: more or less, and how much.")
        return told

    def counts(self) -> list[Counted]:
        """Return what stands on the stall now, where that was typed."""
        if not self.cleaned_data["piece"]:
            return []
        ware, grade = self.cleaned_data["piece"].split("-")
        return [Counted(int(ware), self.cleaned_data["stands"], grade)]

    def cash(self) -> int:
        """Return how much more (below zero: less) a till held than stated, in minor units."""
        amount = self.cleaned_data["difference"] or 0
        return -amount if self.cleaned_data["way"] == "less" else amount

    def till(self) -> int:
        """Return the number of the cash box."""
        return self.cleaned_data.get("box") or FIRST_TILL


def _offered(spots: Spots) -> list[tuple[str, str]]:
    return [(f"{ware}-{grade}", name) for ware, grade, name in spots]


def cash_initial(counted: int | None, pieces: dict[str, int]) -> dict[str, Any]:
    """Return what the cash form shows of the count that stands."""
    initial: dict[str, Any] = {f"n{worth}": number for worth, number in pieces.items()}
    if counted is not None and not pieces:
        initial["total"] = counted
    return initial
