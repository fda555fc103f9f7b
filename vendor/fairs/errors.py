"""What planning and packing refuse, each by its own name."""

from collections.abc import Sequence
from dataclasses import dataclass

from vendor.house.errors import Refused


@dataclass(frozen=True, slots=True)
class Short:
    """One ware and grade of which more is wanted than is free (pieces)."""

    ware_id: int
    grade: str
    name: str
    wanted: int
    free: int
    held: int

    def __str__(self) -> str:
        held = f", {self.held} more held" if self.held else ""
        return f"{self.name}: {self.wanted} wanted, {self.free} free{held}"


class NotFree(Refused):
    """More pieces were to be packed, loaded or brought home than stand free there."""

    def __init__(self, where: str, shorts: Sequence[Short]) -> None:
        named = "; ".join(str(short) for short in shorts)
        remedy = " A held piece is promised: release its hold first." if _any_held(shorts) else ""
        super().__init__(
            f"{where} has not enough free pieces. {named}. Nothing was changed: "
            f"put the number down, or count the shelf.{remedy}"
        )
        self.shorts = tuple(shorts)


def _any_held(shorts: Sequence[Short]) -> bool:
    return any(short.held for short in shorts)


class AlreadyLoaded(Refused):
    """The packing list has gone in the van: it is a record now."""


class WeekendsOverlap(Refused):
    """Two weekends of one fair would share a day."""


class WeekendClosed(Refused):
    """The weekend has been closed; nothing in it changes any more."""
