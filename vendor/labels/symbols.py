"""The ways in which a tag says its code to a reader, and whether a code can be said so.

One place knows which there are; the drawing of each is in a module of its own.
"""

from enum import StrEnum

from vendor.labels import article, code128, square
from vendor.labels.code128 import Bars
from vendor.labels.lengths import in_mm, micrometres
from vendor.labels.placing import Space
from vendor.labels.setting import line_height


class Way(StrEnum):
    """How a code is put on a tag."""

    CODE128 = "code128"
    SQUARE = "qr"
    ARTICLE = "number"


def code_fault(way: str, code: str) -> str | None:
    """Say why a code can't be put on any tag in this way, or give None."""
    if way == Way.SQUARE:
        return square.code_fault(code)
    return article.code_fault(code) if way == Way.ARTICLE else code128.code_fault(code)


def bars_for(way: str, code: str, resolution: int) -> tuple[Bars, ...]:
    """Give a code's bars at every good width for a printer, the widest first."""
    if way == Way.ARTICLE:
        return article.bars_for(code, resolution)
    return code128.bars_for(code, resolution)


def room_fault(way: str, code: str, space: Space) -> str | None:
    """Say why even the smallest symbol of a code doesn't go on a label, or give None."""
    if way != Way.SQUARE:
        bars = bars_for(way, code, space.resolution)[-1]
        return code128.room_fault(bars, space.width, space.inner_height - line_height(bars.code))
    least = square.squares_for(code, space.resolution)[-1]
    room = min(space.width, space.height)
    if least.full_side <= room and least.side <= space.inner_height:
        return None
    return (
        f"The square of {code} is {_mm(least.full_side)} mm at {space.resolution} dots to the "
        f"inch, with the blank it needs on all sides, and there is room for {_mm(room)} mm. "
        "Take larger labels, or bars instead."
    )


def _mm(pt: float) -> str:
    return in_mm(round(micrometres(pt), -2))
