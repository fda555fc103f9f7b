"""The packing list as a page that is filled in: its lines, and what could be put on it.

Reads what was typed and says it in the words of `actions.pack`; writes nothing itself.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from vendor.fairs.actions import Packed
from vendor.fairs.errors import NotFree
from vendor.fairs.forms import PiecesField, RowForm
from vendor.fairs.queries import PackedRow, Packing, Pickable

TOTE = 20


class LineForm(RowForm):
    """One line of the list: how many, and in which tote. None at all takes it off."""

    quantity = PiecesField()
    tote = forms.CharField(required=False, max_length=TOTE)

    def __init__(self, row: PackedRow, told: Any = None) -> None:
        """Fill in what the line says now."""
        line = row.line
        super().__init__(
            told,
            prefix=f"line{line.pk}",
            initial={"quantity": line.quantity, "tote": line.tote},
        )
        self.row = row
        _name(self, f"{row.name}, {line.tote}" if line.tote else row.name)

    @property
    def spot(self) -> tuple[int, str]:
        """The ware and grade it is about."""
        return self.row.line.ware_id, self.row.line.grade


class PickForm(RowForm):
    """So many more of one ware and grade; `was` is how many were on the list before."""

    quantity = PiecesField()
    was = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, row: Pickable, told: Any = None) -> None:
        """Remember how many are listed, so that a page sent twice adds nothing twice."""
        super().__init__(told, prefix=f"pick{row.ware.pk}-{row.grade}", initial={"was": row.listed})
        self.fields["quantity"].widget.attrs["max"] = row.left
        self.row = row
        _name(self, row.name)

    @property
    def spot(self) -> tuple[int, str]:
        """The ware and grade it is about."""
        return self.row.ware.pk, self.row.grade

    def clean(self) -> dict[str, Any]:
        """Refuse to add to a list that has changed since the page was opened."""
        told = super().clean() or {}
        if told.get("quantity") and told.get("was") != self.row.listed:
            self.add_error(
                "quantity",
                f"The list has {self.row.listed} of it by now. Nothing was added: look again.",
            )
        return told


def _name(form: forms.Form, name: str) -> None:
    """Say to screen readers what each field of a row is about."""
    form.fields["quantity"].widget.attrs["aria-label"] = f"{name}: pieces"
    if "tote" in form.fields:
        form.fields["tote"].widget.attrs["aria-label"] = f"{name}: tote"


def changed_lines(rows: Sequence[LineForm]) -> list[Packed]:
    """Return what the filled-in lines ask for; two that came into one tote are added up."""
    wanted: dict[tuple[int, str, str], int] = defaultdict(int)
    for form in rows:
        wanted[*form.spot, form.row.line.tote] += 0
    for form in rows:
        told = form.cleaned_data
        wanted[*form.spot, " ".join(told["tote"].split())] += told["quantity"]
    return [
        Packed(ware_id, quantity, grade, tote)
        for (ware_id, grade, tote), quantity in wanted.items()
    ]


def picked_lines(rows: Sequence[PickForm], tote: str, packing: Packing) -> list[Packed]:
    """Return what was picked, on top of what its tote holds already."""
    tote = " ".join(tote.split())[:TOTE]
    standing: Mapping[tuple[int, str], int] = {
        (row.line.ware_id, row.line.grade): row.line.quantity
        for row in packing.rows
        if row.line.tote == tote
    }
    return [
        Packed(form.spot[0], form.cleaned_data["quantity"] + standing.get(form.spot, 0),
               form.spot[1], tote)
        for form in rows
        if form.cleaned_data["quantity"]
    ]  # fmt: skip


def show_short(rows: Sequence[RowForm], refused: NotFree) -> None:
    """Put a refusal beside each row that it is about."""
    short = {(each.ware_id, each.grade): each for each in refused.shorts}
    for form in rows:
        if form.spot in short and form.cleaned_data.get("quantity"):
            form.add_error("quantity", f"{short[form.spot]}.")
