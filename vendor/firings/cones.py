"""Pyrometric cones as heat-work: reading, ordering and comparing them. Pure, no Django.

A cone's number is a name, not a quantity: 022 < … < 01 < 1 < … < 14, and 05½ lies between 06 and
05 as 5½ lies between 5 and 6. Cones are therefore compared by their step on that ladder, counted
in half cones. How many degrees a step is differs from cone to cone and with the rate of heating
(5 to 52 °C on the chart below), so nothing here turns steps into degrees.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import total_ordering
from statistics import median_low

COLDEST, HOTTEST = 22, 14  # cone 022 and cone 14

# End points in °C of self-supporting cones heated at 60 °C an hour over the last 100 °C.
# Source: Orton, "Temperature Equivalents for Orton Pyrometric Cones (°C)", cones 022 to 14.
# Older charts differ by up to a cone.
_GUIDE_AT_60 = {
    "022": 586,
    "021": 600,
    "020": 626,
    "019": 678,
    "018": 715,
    "017": 738,
    "016": 772,
    "015": 791,
    "014": 807,
    "013": 837,
    "012": 861,
    "011": 875,
    "010": 903,
    "09": 920,
    "08": 942,
    "07": 976,
    "06": 998,
    "05½": 1015,
    "05": 1031,
    "04": 1063,
    "03": 1086,
    "02": 1102,
    "01": 1119,
    "1": 1137,
    "2": 1142,
    "3": 1152,
    "4": 1162,
    "5": 1186,
    "5½": 1203,
    "6": 1222,
    "7": 1239,
    "8": 1249,
    "9": 1260,
    "10": 1285,
    "11": 1294,
    "12": 1306,
    "13": 1331,
    "14": 1365,
}

_WRITTEN = re.compile(
    r"(?:cone|[∆Δ^])?\s*(?P<zero>0?)(?P<number>[1-9][0-9]?)(?P<half>\s*½|[.,]5|\s+1/2)?",
    re.IGNORECASE | re.ASCII,
)


class NotACone(ValueError):  # noqa: N818 - named as it reads
    """Text that names no cone between 022 and 14."""


@total_ordering
@dataclass(frozen=True, slots=True)
class Cone:
    """One cone. `step` is its place on the ladder in half cones: 01 is −2, 1 is 0, 6 is 10."""

    step: int

    @classmethod
    def of(cls, text: str) -> "Cone":
        """Read a cone as potters write it: “06”, “6”, “5½”, “5.5”, “cone 04”.

        The leading zero counts: 06 is far cooler than 6. NotACone for anything else.
        """
        found = _WRITTEN.fullmatch(text.strip())
        if found is None:
            raise NotACone(text)
        number, half = int(found["number"]), bool(found["half"])
        step = -2 * number - half if found["zero"] else 2 * number - 2 + half
        if not -2 * COLDEST <= step <= 2 * HOTTEST - 2:
            raise NotACone(text)
        return cls(step)

    def __str__(self) -> str:
        half = "½" if self.step % 2 else ""
        if self.step < 0:
            return f"0{-self.step // 2}{half}"
        return f"{self.step // 2 + 1}{half}"

    def __lt__(self, other: "Cone") -> bool:
        return self.step < other.step

    @property
    def guide_celsius(self) -> int | None:
        """About where it falls, in °C at 60 °C an hour; None where the chart has no such cone."""
        return _GUIDE_AT_60.get(str(self))

    @property
    def guide_fahrenheit(self) -> int | None:
        """The same in °F, at 108 °F an hour, rounded half up."""
        celsius = self.guide_celsius
        return None if celsius is None else (celsius * 18 + 325) // 10


ALL = tuple(Cone(step) for step in range(-2 * COLDEST, 2 * HOTTEST - 1) if step != -1)
"""Every cone from the coolest to the hottest, half cones too (none lies between 01 and 1)."""


def half_cones_over(reached: Cone, aimed: Cone) -> int:
    """Return how many half cones hotter than aimed was reached (below zero: cooler)."""
    return reached.step - aimed.step


def in_words(half_cones: int) -> str:
    """Say a difference of half cones: “as aimed”, “half a cone cooler”, “1½ cones hotter”."""
    if half_cones == 0:
        return "as aimed"
    whole, half = divmod(abs(half_cones), 2)
    if not whole:
        size = "half a cone"
    elif half:
        size = f"{whole}½ cones"
    else:
        size = "one cone" if whole == 1 else f"{whole} cones"
    return f"{size} {'hotter' if half_cones > 0 else 'cooler'}"


@dataclass(frozen=True, slots=True)
class Drift:
    """What a kiln's latest witness cones say about it: the middle of their differences."""

    firings: int
    half_cones: int

    @property
    def is_off(self) -> bool:
        """Whether the kiln as a rule misses its cone, by half a cone or more."""
        return self.firings >= 2 and self.half_cones != 0

    @property
    def words(self) -> str:
        """How the kiln fires, in words."""
        return in_words(self.half_cones)


def drift(firings: Iterable[tuple[Cone, Sequence[Cone]]]) -> Drift | None:
    """Return how a kiln fires by its witness cones; None where no firing had any.

    Takes each firing's aimed-at cone and what its shelves reached. The middle shelf stands for
    a firing and the middle firing for the kiln (the one nearer to “as aimed” of two), so that one
    misread cone doesn't make a drift.
    """
    middles = [
        _middle([half_cones_over(each, aimed) for each in reached])
        for aimed, reached in firings
        if reached
    ]
    return Drift(len(middles), _middle(middles)) if middles else None


def _middle(differences: Sequence[int]) -> int:
    """Return the median; of two middle ones the nearer to zero."""
    low = median_low(differences)
    high = -median_low([-each for each in differences])
    if low <= 0 <= high:
        return 0
    return low if abs(low) <= abs(high) else high
