"""The room in the van: so many pieces, or so many totes, as whole units for `loading`.

A tote is reckoned by its floor with the pots in one layer, each taking the square of its widest
measure: cautious, for bowls that nest and thimbles on two layers take less.
"""

from dataclasses import dataclass
from enum import StrEnum

# Inside 60 x 40 cm: a common size of stacking box (common practice).
TOTE_MM = (600, 400)
TOTE_MM2 = TOTE_MM[0] * TOTE_MM[1]


class RoomUnit(StrEnum):
    """What the van's room is told in."""

    PIECES = "pieces"
    TOTES = "totes"


@dataclass(frozen=True, slots=True)
class Room:
    """So many pieces, or totes; `count` None: room for everything."""

    count: int | None = None
    unit: RoomUnit = RoomUnit.PIECES

    @property
    def whole(self) -> int | None:
        """The room in units: pieces, or square millimetres of tote floor."""
        if self.count is None or self.unit is RoomUnit.PIECES:
            return self.count
        return self.count * TOTE_MM2

    def of(self, width_mm: int) -> int:
        """Return the units that one piece of this width takes."""
        return 1 if self.unit is RoomUnit.PIECES else max(width_mm * width_mm, 1)

    def totes(self, units: int) -> float:
        """Return how many totes these units fill."""
        return units / TOTE_MM2
