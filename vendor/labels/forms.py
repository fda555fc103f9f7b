"""What is typed on the page of tags: how many of what, of which kind, on which sheet.

Parsing only: what stands on a tag and whether it fits is found out in `job` and `pdf`.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.forms import BoundField

from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.widgets import CountInput
from vendor.labels import queries
from vendor.labels.choosing import Pick
from vendor.labels.job import Item, Job
from vendor.labels.models import (
    MOST_OF_ONE,
    ON_PIECES,
    Kind,
    LabelPrinter,
    LabelSheet,
    Symbol,
    TagDress,
)
from vendor.ware.models import MAX_MONEY, Form, Grade, PriceTier
from vendor.ware.pricing import PriceBook, PriceMissing

PRICED = (*ON_PIECES, Kind.TALKER)


def sheet_choices() -> list[tuple[int, str]]:
    """Return the sheets on offer, named so that no two read the same."""
    return [(row.pk, name) for row, name in queries.named_apart(queries.sheets_on_offer())]


def count_field(label: str, initial: int | None, most: int | None = None) -> forms.IntegerField:
    """Return a field for a number of tags; left empty it is none. A thumb goes up to `most`."""
    field = forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=MOST_OF_ONE,
        initial=initial or None,
        widget=CountInput({"aria-label": f"Tags for {label}"}),
        error_messages={
            "invalid": "Write a whole number of tags, such as 12.",
            "min_value": "A number of tags can't be below zero.",
            "max_value": f"At most {MOST_OF_ONE:,} tags of one piece go in one print; "
            "look for a slip of the keys.",
        },
    )
    if most is not None:
        field.widget.attrs["max"] = min(most, MOST_OF_ONE)
    return field


class TagsForm(forms.Form):
    """How many tags of what, and how they are to be printed."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    tier = forms.ModelChoiceField(PriceTier.objects.all(), label="Price list", empty_label=None)
    symbol = forms.ChoiceField(label="Bars on the tag", choices=Symbol.choices)
    sheet = forms.ModelChoiceField(
        LabelSheet.objects.filter(retired=False), label="Sheet of labels", empty_label=None
    )
    printer = forms.ModelChoiceField(LabelPrinter.objects.filter(retired=False), empty_label=None)
    start = forms.IntegerField(
        label="First label to print on",
        min_value=1,
        max_value=100_000,
        widget=CountInput({"min": 1}),
        help_text="Tap a label on the drawing, or write its number: 1 for a fresh sheet.",
    )
    tax_said = forms.BooleanField(label="Say on the tag that tax is included", required=False)
    names_said = forms.BooleanField(
        label="Say whom promised pieces are for, by first name",
        required=False,
        help_text="Otherwise by the number of the promise, so that nobody else reads a name.",
    )
    offer_count = forms.IntegerField(
        label="An offer for several: how many", required=False, min_value=2, max_value=100,
        widget=CountInput({"min": 2, "max": 100}),
    )  # fmt: skip
    offer_price = MoneyField(
        label="Their price together", required=False, above_zero=True, most=MAX_MONEY,
        error_messages={"nothing": "A price is above zero."},
    )  # fmt: skip

    def __init__(
        self, *args: Any, kind: str, picks: Sequence[Pick], studio: Studio, dress: TagDress,
        tier: PriceTier | None, tax_included: bool, **kwargs: Any,
    ) -> None:  # fmt: skip
        """Offer a count for each pick, with what its source suggests; and what was used last."""
        super().__init__(*args, **kwargs)
        self.kind, self.picks = kind, picks
        self.too_many: list[Pick] = []
        in_currency(self, studio)
        self.initial.update(
            {
                "key": new_key(),
                "tier": tier.pk if tier else None,
                "symbol": dress.symbol,
                "sheet": dress.sheet_id,
                "printer": dress.printer_id,
                "start": 1,
                "tax_said": tax_included,
            }
        )
        for pick in picks:
            most = self._most_of(pick)
            self.fields[pick.key] = count_field(pick.name, pick.suggested, most)
        sheet = self.fields["sheet"]
        assert isinstance(sheet, forms.ModelChoiceField)
        sheet.choices = sheet_choices()
        for name in _idle(kind, picks):
            del self.fields[name]

    def _most_of(self, pick: Pick) -> int | None:
        """Return the most tags with a price that there may be of a piece; None for any number."""
        priced = self.kind in ON_PIECES and pick.hold is None
        return pick.stock.most if priced else None

    def rows(self) -> Iterable[tuple[Pick, BoundField]]:
        """Return each pick with its field."""
        return ((pick, self[pick.key]) for pick in self.picks)

    def first_rows(self) -> list[tuple[Pick, BoundField]]:
        """Return the rows that are suggested or filled in; the others are a tap away."""
        return [row for row in self.rows() if _in_view(row)]

    def other_rows(self) -> list[tuple[Pick, BoundField]]:
        """Return the rows of which nothing is asked so far."""
        return [row for row in self.rows() if not _in_view(row)]

    @property
    def shapes(self) -> list[Form]:
        """The forms of what is offered: they are drawn to one scale."""
        return [pick.ware.form for pick in self.picks if pick.ware]

    @property
    def total(self) -> int:
        """How many tags are asked for, as far as that can be read."""
        asked = (str(field.value() or "") for _, field in self.rows())
        return sum(int(text) for text in asked if text.isascii() and text.isdigit())

    def clean(self) -> dict[str, Any]:
        """Refuse half an offer, and a first label that the sheet doesn't have."""
        said = super().clean() or {}
        if bool(said.get("offer_count")) is not bool(said.get("offer_price")):
            missing = "offer_price" if said.get("offer_count") else "offer_count"
            if missing in self.fields and missing not in self.errors:
                self.add_error(missing, "An offer needs both: how many pieces, and their price.")
        for pick in self.picks:
            fault = pick.stock.fault(said.get(pick.key) or 0)
            if fault and self._most_of(pick) is not None:
                self.add_error(pick.key, fault)
                self.too_many.append(pick)
        sheet, start = said.get("sheet"), said.get("start")
        if sheet and start and start > sheet.sheet.per_page:
            self.add_error(
                "start",
                f"There is no label {start} on this sheet: it has {sheet.sheet.per_page}.",
            )
        return said

    def job(self, book: PriceBook, *, source: str, seconds: int | None) -> Job | None:
        """Return the job that was asked for, or None where a price is missing; that is told.

        `seconds` is the key of the price list for seconds.
        """
        said = self.cleaned_data
        items = []
        for pick in self.picks:
            quantity = said.get(pick.key)
            if not quantity:
                continue
            try:
                items.append(self._item(pick, quantity, book, seconds))
            except PriceMissing as refusal:
                self.add_error(pick.key, refusal.message)
        if self.errors:
            return None
        return Job(
            kind=self.kind,
            symbol=said.get("symbol", Symbol.NONE),
            sheet=said["sheet"],
            printer=said["printer"],
            items=items,
            start=said["start"],
            tax_said=bool(said.get("tax_said")),
            names_said=bool(said.get("names_said")),
            offer_count=said.get("offer_count"),
            offer_price=said.get("offer_price"),
            source=source,
        )

    def _item(self, pick: Pick, quantity: int, book: PriceBook, seconds: int | None) -> Item:
        if pick.hold is not None:
            return Item(quantity, pick.ware, pick.grade, hold=pick.hold)
        if pick.ware is None:
            firing = pick.firing.pk if pick.firing else None
            return Item(quantity, words=pick.words, firing_id=firing)
        ware, tier = pick.ware, self.cleaned_data["tier"]
        tier_id: int | None
        if pick.grade == Grade.SECOND:
            price = book.second_price(ware.pk, ware.form_id)
            tier_id = seconds
        else:
            price, tier_id = book.price(ware.pk, ware.form_id, tier.pk), tier.pk
        return Item(quantity, ware, pick.grade, price, tier_id)


def _in_view(row: tuple[Pick, BoundField]) -> bool:
    pick, field = row
    return bool(pick.suggested or field.value() or field.errors)


def _idle(kind: str, picks: Sequence[Pick]) -> list[str]:
    """Return the fields that say nothing for a kind of tag."""
    idle = [] if any(pick.hold for pick in picks) else ["names_said"]
    if kind not in PRICED:
        idle += ["tier", "symbol", "tax_said"]
    if kind != Kind.TALKER:
        idle += ["offer_count", "offer_price"]
    return idle
