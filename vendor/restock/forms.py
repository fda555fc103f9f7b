"""What is asked of a plan (service level, room in the van), and what a plan says to bring.

Parsing only.
"""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.http import urlencode

from vendor.fairs.models import MOST_PIECES
from vendor.house import written
from vendor.house.models import Studio
from vendor.ledger.actions import Line
from vendor.restock.plans import Plan
from vendor.restock.room import TOTE_MM, Room, RoomUnit
from vendor.ware.models import Ware

LEAST_LEVEL, MOST_LEVEL = 50, 99
MOST_ROOM = 5_000
_LINE = re.compile(r"(\d{1,18})x(\d{1,4})")


class AskForm(forms.Form):
    """How sure to be, and how much room there is."""

    level = forms.IntegerField(
        label="Weekends it should last",
        required=False,
        max_value=MOST_LEVEL,
        help_text="Of a hundred such weekends, to the end.",
    )
    room = forms.IntegerField(
        label="Room in the van",
        required=False,
        min_value=1,
        max_value=MOST_ROOM,
        help_text="Empty: room for everything.",
    )
    unit = forms.ChoiceField(label="Counted in", required=False)

    def __init__(self, asked: Mapping[str, Any], *, studio: Studio) -> None:
        """Take from the address what it says, and the studio's own level where it says nothing."""
        usual = studio.service_level_percent
        said = {
            "level": asked.get("level") or usual,
            "room": asked.get("room", ""),
            "unit": asked.get("unit") or RoomUnit.PIECES.value,
        }
        super().__init__(said, auto_id="ask-%s")
        self.usual = usual
        unit = self.fields["unit"]
        assert isinstance(unit, forms.ChoiceField)
        unit.choices = [(each.value, words(each, studio)) for each in RoomUnit]
        self.fields["level"].widget.attrs["min"] = self.least

    def clean_level(self) -> int:
        """Refuse less than an even chance, unless the studio's own setting is below it."""
        level: int = self.cleaned_data["level"]
        if level < self.least:
            raise ValidationError(f"From {self.least} to {MOST_LEVEL} weekends of a hundred.")
        return level

    @property
    def least(self) -> int:
        """The least level that can be asked for."""
        return min(LEAST_LEVEL, self.usual)

    @property
    def address(self) -> str:
        """What was asked for, as an address says it; empty for the usual."""
        if not self.is_changed:
            return ""
        room = self.room_asked
        asked: dict[str, str | int] = {"level": self.level_asked}
        if room.count is not None:
            asked |= {"room": room.count, "unit": room.unit.value}
        return urlencode(asked)

    @property
    def is_changed(self) -> bool:
        """Whether something else than the usual is asked for."""
        return self.level_asked != self.usual or self.room_asked.count is not None

    @property
    def level_asked(self) -> int:
        """The level that was asked for, or the studio's own where that can't be."""
        level: int = self.cleaned_data["level"] if self.is_valid() else self.usual
        return level

    @property
    def room_asked(self) -> Room:
        """The room that was asked for; room for everything where that can't be."""
        if not self.is_valid():
            return Room()
        return Room(self.cleaned_data["room"], RoomUnit(self.cleaned_data["unit"]))


def words(unit: RoomUnit, studio: Studio) -> str:
    """Return what a unit of room is called, totes with their measure."""
    if unit is RoomUnit.PIECES:
        return "pieces"
    long, wide = (written.length(mm, studio) for mm in TOTE_MM)
    return f"totes of {long} × {wide}, one layer"


class BringForm(forms.Form):
    """The pieces that a plan said to bring, as they stood on the page."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    lines = forms.CharField(widget=forms.HiddenInput, max_length=100_000)

    def clean_lines(self) -> list[Line]:
        """Return the lines; refused where one is not of this page's making."""
        found = [_LINE.fullmatch(each) for each in self.cleaned_data["lines"].split()]
        pieces = {int(each[1]): int(each[2]) for each in found if each is not None}
        known = set(Ware.objects.filter(pk__in=pieces).values_list("pk", flat=True))
        if None in found or len(pieces) < len(found) or known != pieces.keys():
            raise ValidationError("This page is not up to date. Nothing was packed: try again.")
        if any(not 0 < quantity <= MOST_PIECES for quantity in pieces.values()):
            raise ValidationError("That many can't be packed. Nothing was packed: try again.")
        return [Line(ware, quantity) for ware, quantity in pieces.items()]


def bring_form(plan: Plan, key: str) -> BringForm:
    """Return the form that puts a plan's pieces on the packing list."""
    lines = " ".join(f"{row.ware.pk}x{row.bring}" for row in plan.rows if row.bring)
    return BringForm(initial={"key": key, "lines": lines}, auto_id=False)
