"""What is typed when a kiln is unloaded: counts line by line, and what is known afterwards.

Parsing only; what an unloading refuses is in `unloading`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from vendor.firings.fields import ConeField
from vendor.firings.models import MAX_PIECES, Firing, FiringLine, Loss
from vendor.firings.unloading import Count
from vendor.house.fields import pieces_field
from vendor.ware.models import Form

WITNESSES = 4
"""So many shelves at least can be read on one page."""


@dataclass(frozen=True, slots=True)
class CauseField:
    """A cause of loss and the field for its pieces."""

    name: str
    field: BoundField


@dataclass(frozen=True, slots=True)
class LineFields:
    """One line of a firing with its fields to count it out, and what they say is lost so far."""

    line: FiringLine
    firsts: BoundField
    seconds: BoundField
    causes: list[CauseField]
    lost_so_far: int


class UnloadForm(forms.Form):
    """Firsts, seconds and losses by cause of every line; firsts begin at what went in."""

    turn = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args: Any, lines: Sequence[FiringLine], turn: int, **kwargs: Any) -> None:
        """Offer the fields of each line; `turn` is how often an unloading was undone so far."""
        super().__init__(*args, **kwargs)
        self.lines = lines
        self.fields["turn"].initial = turn
        for line in lines:
            self._offer(f"{line.pk}-firsts", f"Firsts: {line.label}", line.loaded)
            self._offer(f"{line.pk}-seconds", f"Seconds: {line.label}", 0)
            for cause in Loss.Cause:
                self._offer(f"{line.pk}-{cause}", f"{cause.label}: {line.label}", 0)

    def _offer(self, name: str, label: str, pieces: int) -> None:
        self.fields[name] = pieces_field(label, most=MAX_PIECES, initial=pieces)

    def rows(self) -> list[LineFields]:
        """Return the fields line by line."""
        said = self.cleaned_data if self.is_bound and self.is_valid() else {}
        return [
            LineFields(
                line,
                self[f"{line.pk}-firsts"],
                self[f"{line.pk}-seconds"],
                [CauseField(cause.label, self[f"{line.pk}-{cause}"]) for cause in Loss.Cause],
                sum(said.get(f"{line.pk}-{cause}") or 0 for cause in Loss.Cause),
            )
            for line in self.lines
        ]

    @property
    def shapes(self) -> list[Form]:
        """The forms of the lines: they are drawn to one scale."""
        return [line.shape for line in self.lines]

    def counts(self) -> list[Count]:
        """Return what was counted."""
        said = self.cleaned_data
        return [
            Count(
                line.pk,
                said[f"{line.pk}-firsts"] or 0,
                said[f"{line.pk}-seconds"] or 0,
                {str(cause): said[f"{line.pk}-{cause}"] or 0 for cause in Loss.Cause},
            )
            for line in self.lines
        ]


class UndoForm(forms.Form):
    """Why an unloading is undone."""

    turn = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")


class AfterForm(forms.Form):
    """What is known of a firing when it is over: hours, note, what the witness cones showed."""

    hours = forms.IntegerField(
        label="Hours",
        required=False,
        min_value=1,
        max_value=240,
        help_text="From switching on to unloading, for the value by hour.",
    )
    note = forms.CharField(required=False, max_length=2000, widget=forms.Textarea({"rows": 3}))

    def __init__(self, *args: Any, firing: Firing, **kwargs: Any) -> None:
        """Offer what is written down so far, and room for more shelves."""
        kwargs["initial"] = {"hours": firing.hours, "note": firing.note}
        super().__init__(*args, **kwargs)
        read = list(firing.witness_cones.all())
        self.shelves = range(max(WITNESSES, len(read) + 1))
        for n in self.shelves:
            row = read[n] if n < len(read) else None
            self.fields[f"shelf-{n}"] = forms.CharField(
                label=f"Shelf {n + 1}", max_length=30, required=False,
                initial=row.shelf if row else "",
            )  # fmt: skip
            self.fields[f"cone-{n}"] = ConeField(
                label=f"Hottest cone whose tip is down, shelf {n + 1}", max_length=12,
                required=False, initial=row.cone if row else "",
            )  # fmt: skip

    def rows(self) -> Iterable[tuple[BoundField, BoundField]]:
        """Return shelf and cone, row by row."""
        return ((self[f"shelf-{n}"], self[f"cone-{n}"]) for n in self.shelves)

    def clean(self) -> dict[str, Any]:
        """Refuse a shelf without a cone, a cone without a shelf, and a shelf named twice."""
        said = super().clean() or {}
        seen: set[str] = set()
        for n in self.shelves:
            shelf, cone = said.get(f"shelf-{n}", ""), said.get(f"cone-{n}", "")
            if cone and not shelf:
                self.add_error(f"shelf-{n}", "Say on which shelf this cone stood.")
            if shelf and not cone and f"cone-{n}" not in self.errors:
                self.add_error(f"cone-{n}", "Say which cone was down on this shelf.")
            if shelf and shelf.casefold() in seen:
                self.add_error(f"shelf-{n}", f"“{shelf}” is listed twice.")
            seen.add(shelf.casefold())
        return said

    def cones(self) -> dict[str, str]:
        """Return the cones reached by shelf."""
        said = self.cleaned_data
        pairs = ((said[f"shelf-{n}"], said[f"cone-{n}"]) for n in self.shelves)
        return {shelf: cone for shelf, cone in pairs if shelf}
