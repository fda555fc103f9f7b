"""What a firing is worth at a price list: as loaded and as unloaded. Pure, no Django.

Money is whole minor units (int), sizes are whole millimetres, room is cm². A line without a price
is left out of every sum and named in `missing`: a total never counts it as nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from vendor.house.money import half_up

GAP_MM = 6  # between glazed pieces: ¼ inch, by a kiln maker's loading guide


@dataclass(frozen=True, slots=True)
class Load:
    """One line of a firing: pieces, the room that one needs, and its prices where it has them.

    `firsts`, `seconds` and `lost` are None until the kiln has been unloaded.
    """

    name: str
    loaded: int
    width_mm: int
    price: int | None
    seconds_price: int | None
    firsts: int | None = None
    seconds: int | None = None
    lost: int | None = None


@dataclass(frozen=True, slots=True)
class LineValue:
    """The value of one line, in minor units; None where a price that it needs is missing."""

    name: str
    as_loaded: int | None
    firsts: int | None
    seconds: int | None
    lost: int | None

    @property
    def as_unloaded(self) -> int | None:
        """What came out whole or as a second."""
        return None if self.firsts is None or self.seconds is None else self.firsts + self.seconds


@dataclass(frozen=True, slots=True)
class FiringValue:
    """The value of a whole firing, in minor units, over the lines that have a price.

    `as_unloaded`, `firsts`, `seconds` and `lost` are None until the kiln has been unloaded, and
    the values by room and by hour where the kiln's area or the firing's hours are not known.
    `spare_room` is what the room left free would have held at this firing's own value by room.
    """

    lines: tuple[LineValue, ...]
    missing: tuple[str, ...]
    as_loaded: int
    firsts: int | None
    seconds: int | None
    lost: int | None
    used_cm2: int
    spare_cm2: int | None
    spare_room: int | None
    per_hour: int | None

    @property
    def as_unloaded(self) -> int | None:
        """What came out whole or as a second."""
        return None if self.firsts is None or self.seconds is None else self.firsts + self.seconds

    @property
    def best_known(self) -> int:
        """As unloaded once that is known, as loaded before."""
        return self.as_loaded if self.as_unloaded is None else self.as_unloaded

    @property
    def fell_by(self) -> int | None:
        """What seconds and losses took off the value as loaded."""
        return None if self.as_unloaded is None else self.as_loaded - self.as_unloaded


def value_of(
    loads: Sequence[Load], *, area_cm2: int | None = None, hours: int | None = None
) -> FiringValue:
    """Return what a firing is worth; see FiringValue for what is None when.

    By room and by hour it is the value as unloaded, or as loaded while the kiln is still closed.
    """
    lines = tuple(_line_value(load) for load in loads)
    whole = [line for load, line in zip(loads, lines, strict=True) if _priced(load)]
    unloaded = bool(loads) and all(load.firsts is not None for load in loads)
    as_loaded = sum(line.as_loaded or 0 for line in whole)
    firsts = sum(line.firsts or 0 for line in whole) if unloaded else None
    seconds = sum(line.seconds or 0 for line in whole) if unloaded else None
    best = as_loaded if firsts is None or seconds is None else firsts + seconds
    used = -(-sum(load.loaded * _cell_mm2(load) for load in loads) // 100)
    spare = None if area_cm2 is None else max(0, area_cm2 - used)
    return FiringValue(
        lines=lines,
        missing=tuple(_unpriced(load) for load in loads if not _priced(load)),
        as_loaded=as_loaded,
        firsts=firsts,
        seconds=seconds,
        lost=sum(line.lost or 0 for line in whole) if unloaded else None,
        used_cm2=used,
        spare_cm2=spare,
        spare_room=None if spare is None or not used else half_up(as_loaded * spare, used),
        per_hour=half_up(best, hours) if hours else None,
    )


def _priced(load: Load) -> bool:
    """Tell whether a line has the prices that its pieces need."""
    return load.price is not None and (not load.seconds or load.seconds_price is not None)


def _unpriced(load: Load) -> str:
    """Name what a line has no price for: its firsts, or only its seconds."""
    return load.name if load.price is None else f"{load.name} (second)"


def _line_value(load: Load) -> LineValue:
    price, seconds_price = load.price, load.seconds_price

    def at(pieces: int | None, each: int | None) -> int | None:
        if pieces == 0:
            return 0
        return None if pieces is None or each is None else pieces * each

    return LineValue(
        name=load.name,
        as_loaded=at(load.loaded, price),
        firsts=at(load.firsts, price),
        seconds=at(load.seconds, seconds_price),
        lost=at(load.lost, price),
    )


def _cell_mm2(load: Load) -> int:
    """Return the room of one piece: a square as wide as the piece and its gap (common practice)."""
    return (load.width_mm + GAP_MM) ** 2
