"""A code as a square of dark and light fields: QR Code (ISO/IEC 18004), by segno.

Lengths are in points. Each field is a whole number of printer dots, and all are one path.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import segno

from vendor.labels.code128 import dot
from vendor.labels.lengths import mm, points

QUIET_FIELDS = 4
"""Blank fields on each side (ISO/IEC 18004:2015, 9.1)."""

LEAST_FIELD = points(mm("0.33"))
"""The least width of a field: a symbol of 21 fields is then 7 mm, read by every phone tried."""

WIDEST_FIELD = points(mm("0.75"))
"""Larger fields are no easier to read at arm's length (common practice)."""

LONGEST_CODE = 60


@dataclass(frozen=True)
class Square:
    """A code's fields at one resolution; `rows` are from the top, 1 for a dark field."""

    code: str
    rows: tuple[bytes, ...]
    resolution: int
    dots: int

    @property
    def field(self) -> float:
        """The width of one field."""
        return self.dots * dot(self.resolution)

    @property
    def side(self) -> float:
        """The length of the symbol's side without the blank."""
        return len(self.rows) * self.field

    @property
    def quiet(self) -> float:
        """The blank that must stand on each side."""
        return QUIET_FIELDS * self.field

    @property
    def full_side(self) -> float:
        """The side with the blank on both sides."""
        return self.side + 2 * self.quiet

    def runs(self) -> Iterator[tuple[float, float, float, float]]:
        """Give the dark stretches of each row as x, y, width, height from the lower left corner."""
        size = len(self.rows)
        for number, row in enumerate(self.rows):
            y = (size - 1 - number) * self.field
            begin: int | None = None
            for place, dark in enumerate((*row, 0)):
                if dark and begin is None:
                    begin = place
                elif not dark and begin is not None:
                    yield begin * self.field, y, (place - begin) * self.field, self.field
                    begin = None


@lru_cache(maxsize=1024)
def fields_of(code: str) -> tuple[bytes, ...]:
    """Give the fields of a code by row, 1 for dark; error correction M or better if it is free."""
    symbol = segno.make(code, micro=False, error="m", boost_error=True)
    return tuple(bytes(row) for row in symbol.matrix)


def code_fault(code: str) -> str | None:
    """Say why a code can't be put in a square, or give None."""
    if not code.strip():
        return "There is no code to put in a square."
    if len(code) > LONGEST_CODE:
        return (
            f"The code {code[:12]}… has {len(code)} characters: "
            f"the most that go in a square on a tag is {LONGEST_CODE}."
        )
    return None


def squares_for(code: str, resolution: int) -> tuple[Square, ...]:
    """Give a code's squares at every good size for a printer, the largest first."""
    rows, step = fields_of(code), dot(resolution)
    fitting = [n for n in range(1, resolution) if LEAST_FIELD <= n * step <= WIDEST_FIELD]
    return tuple(Square(code, rows, resolution, dots) for dots in reversed(fitting))
