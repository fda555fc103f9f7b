"""Reading what a person typed about fairs, weekends and packing; nothing here writes."""

import datetime
from typing import Any

from django import forms

from vendor.fairs.actions import OpenDay, Terms
from vendor.fairs.models import MOST_PIECES, Fair, Weekend
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.money import Currency, format_amount, parse_rate, typed_rate
from vendor.house.widgets import CountInput, DayInput, TimeInput
from vendor.ledger.actions import Line
from vendor.ledger.posting import piece
from vendor.ledger.queries import StockRow
from vendor.ware.models import PriceTier

CASH_STEPS = (1, 5, 10, 20, 50, 100)
SPARE_DAYS = 1
LONGEST_WEEKEND = 7


class FairForm(forms.Form):
    """A fair and its terms. The tax rate is typed as a percentage."""

    name = forms.CharField(
        max_length=70, help_text="As it stands on receipts, lists and statements."
    )
    tier = forms.ModelChoiceField(
        label="Price list", queryset=PriceTier.objects.all(), empty_label=None,
        help_text="What a first costs at this fair. Seconds have a list of their own.",
    )  # fmt: skip
    tax_rate = forms.CharField(
        label="Tax rate (per cent)", max_length=20, initial="0",
        help_text="For example 7.25. Rates and rules differ from place to place.",
    )  # fmt: skip
    tax_included = forms.ChoiceField(
        label="The price on the tag", widget=forms.RadioSelect,
        choices=[("no", "is without tax: it is added at the till"),
                 ("yes", "already holds the tax")],
        initial="no",
    )  # fmt: skip
    tax_rounding = forms.ChoiceField(
        label="Where tax is rounded", widget=forms.RadioSelect, choices=Studio.Rounding.choices
    )
    cash_step = forms.TypedChoiceField(
        label="Smallest coin", coerce=int, help_text="Cash totals are rounded to it."
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, studio: Studio, fair: Fair | None = None, **kwargs: Any) -> None:
        """Fill in the fair's terms, or the studio's usual ones."""
        self.studio = studio
        kwargs["initial"] = self._initial(fair) if fair else self._usual()
        super().__init__(*args, **kwargs)
        steps = {*CASH_STEPS, fair.cash_step} if fair else CASH_STEPS
        self.fields["cash_step"].choices = [  # type: ignore[attr-defined]
            (step, self._step(step)) for step in sorted(steps)
        ]

    def _initial(self, fair: Fair) -> dict[str, Any]:
        return {
            "name": fair.name, "tier": fair.tier, "tax_rounding": fair.tax_rounding,
            "tax_rate": typed_rate(fair.tax_rate_ppm, self.studio.language),
            "tax_included": "yes" if fair.tax_included else "no",
            "cash_step": fair.cash_step, "note": fair.note,
        }  # fmt: skip

    def _usual(self) -> dict[str, Any]:
        base = PriceTier.objects.filter(is_base=True).first()
        fair = PriceTier.objects.filter(name__iexact="fair").first()
        return {"tax_rounding": self.studio.tax_rounding, "tier": fair or base}

    def _step(self, step: int) -> str:
        written = format_amount(step, Currency.of(self.studio.currency), self.studio.language)
        return f"{written} (not rounded)" if step == 1 else written

    def clean_tax_rate(self) -> int:
        """Return the rate in parts per million."""
        try:
            return parse_rate(self.cleaned_data["tax_rate"], self.studio.language)
        except Refused as refused:
            raise forms.ValidationError(refused.message) from None

    def terms(self) -> Terms:
        """Return what was typed as a fair's terms."""
        told = self.cleaned_data
        return Terms(
            tier=told["tier"],
            tax_rate_ppm=told["tax_rate"],
            tax_included=told["tax_included"] == "yes",
            tax_rounding=told["tax_rounding"],
            cash_step=told["cash_step"],
        )


class PlanForm(forms.Form):
    """So many weekends, a week apart, all alike."""

    layout = "three"

    first_day = forms.DateField(label="First day", widget=DayInput)
    count = forms.IntegerField(
        label="How many weekends", min_value=1, max_value=60, initial=5, widget=CountInput
    )
    days = forms.IntegerField(
        label="Days each", min_value=1, max_value=7, initial=2, widget=CountInput
    )
    opens = forms.TimeField(initial=datetime.time(10), widget=TimeInput)
    closes = forms.TimeField(initial=datetime.time(17), widget=TimeInput)

    def clean(self) -> dict[str, Any]:
        """Refuse hours that end before they begin."""
        told = super().clean() or {}
        opens, closes = told.get("opens"), told.get("closes")
        if opens and closes and closes <= opens:
            self.add_error("closes", "A selling day closes after it opens.")
        return told


class DayForm(forms.Form):
    """One day of a weekend; an empty day is none."""

    day = forms.DateField(required=False, widget=DayInput)
    opens = forms.TimeField(required=False, initial=datetime.time(10), widget=TimeInput)
    closes = forms.TimeField(required=False, initial=datetime.time(17), widget=TimeInput)

    def clean(self) -> dict[str, Any]:
        """Refuse a day without hours, or with hours that end before they begin."""
        told = super().clean() or {}
        if told.get("day"):
            for name in ("opens", "closes"):
                if not told.get(name) and name not in self.errors:
                    self.add_error(name, "A selling day needs its hours.")
            if told.get("opens") and told.get("closes") and told["closes"] <= told["opens"]:
                self.add_error("closes", "A selling day closes after it opens.")
        return told

    def open_day(self) -> OpenDay | None:
        """Return the day with its hours, or None where there is none."""
        told = self.cleaned_data
        return OpenDay(told["day"], told["opens"], told["closes"]) if told.get("day") else None


class CrowdForm(forms.Form):
    """How many people are expected at a weekend."""

    crowd_percent = forms.IntegerField(
        label="Crowd (per cent)", min_value=1, max_value=1000, widget=CountInput,
        help_text="100 is an ordinary weekend of this fair; the last before a holiday may be 150.",
    )  # fmt: skip


def day_forms(weekend: Weekend, told: Any = None) -> list[DayForm]:
    """Return a form for each day of a weekend, and one for another day."""
    days = list(weekend.days.all())
    shown = min(LONGEST_WEEKEND, len(days) + SPARE_DAYS)
    return [
        DayForm(
            told, prefix=f"day{index}",
            initial={"day": days[index].day, "opens": days[index].opens,
                     "closes": days[index].closes} if index < len(days) else {},
        )
        for index in range(shown)
    ]  # fmt: skip


class PiecesField(forms.IntegerField):
    """How many pieces of something; empty is none."""

    widget = CountInput

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, min_value=0, max_value=MOST_PIECES, **more)

    def clean(self, value: Any) -> int:
        """Return whole pieces, 0 where nothing was typed."""
        return super().clean(value) or 0


class RowForm(forms.Form):
    """A form in a row of a table, about one ware and grade."""

    @property
    def spot(self) -> tuple[int, str]:
        """The ware and grade it is about."""
        raise NotImplementedError


class HomeForm(RowForm):
    """How many pieces of one ware and grade come home from a stall."""

    quantity = PiecesField()

    def __init__(self, row: StockRow, told: Any = None) -> None:
        """Offer what stands free there."""
        super().__init__(told, prefix=f"home{row.ware.pk}-{row.grade}")
        self.row = row
        self.name = piece(row.ware, row.grade)
        widget = self.fields["quantity"].widget
        widget.attrs |= {"aria-label": f"{self.name}: pieces", "max": row.free}

    @property
    def spot(self) -> tuple[int, str]:
        """The ware and grade it is about."""
        return self.row.ware.pk, self.row.grade

    def line(self) -> Line | None:
        """Return what comes home, or None where nothing does."""
        quantity = self.cleaned_data["quantity"]
        return Line(self.row.ware.pk, quantity, self.row.grade) if quantity else None
