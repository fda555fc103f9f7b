"""Text that fits its room: it shrinks, then it wraps, and else it is told to be too long.

Nothing is cut off and nothing is printed over something else. Sizes and lengths are in points.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from vendor.house.typeface import Face, ink_above, ink_below, width_in_ems

LEGIBLE = 5.25
"""The smallest size that is printed. Its x-height is 0.9 mm, the least that the European rule on
food labels, Regulation 1169/2011 art. 13, allows on small packages (from memory)."""

LEADING = 1.12
"""From one baseline to the next, in ems; more where accents and tails would touch."""

APART = 0.1
"""Between two texts of a block, in ems of the lower one."""

RISE, DROP = 0.712, 0.2
"""What a line usually takes above and below its baseline, in ems: kept even when a text has no
tall or hanging letters, so that neighbouring tags line up."""

STEPS = 24
"""In how many steps a text shrinks from its largest to its smallest size."""

SETTLE = 10
"""To which of these steps it goes down on one line before wrapping is tried."""


@dataclass(frozen=True)
class Style:
    """How a text may be set: its face, its largest and smallest size, and its number of lines."""

    face: Face
    largest: float
    smallest: float = LEGIBLE
    lines: int = 1

    def size(self, share: float) -> float:
        """Give the size at a share of the way from the smallest (0) to the largest (1)."""
        return self.smallest + (self.largest - self.smallest) * share


@dataclass(frozen=True)
class Para:
    """One text of a block and how it may be set.

    `free` is kept blank to the right of its lines, for something that goes `above` and `below` the
    baseline of the last of them.
    """

    part: str
    text: str
    style: Style
    free: float = 0.0
    above: float = 0.0
    below: float = 0.0


@dataclass(frozen=True)
class Line:
    """One line of a block that was set: its baseline is `down` below the block's top."""

    part: str
    text: str
    face: Face
    size: float
    down: float

    @property
    def width(self) -> float:
        """How wide the line is."""
        return width_in_ems(self.text, self.face) * self.size


@dataclass(frozen=True)
class Block:
    """Texts set below each other, and the height they take."""

    lines: tuple[Line, ...]
    height: float


@lru_cache(maxsize=1024)
def _pieces(text: str) -> tuple[str, ...]:
    """Cut a text where a line may end: after spaces, and after hyphens and slashes in a word."""
    return tuple(re.findall(r"\s*[^\s\-/]*[\-/]*", text)[:-1])


def wrapped(text: str, face: Face, ems: float) -> tuple[str, ...] | None:
    """Break a text into lines no wider than `ems`; None if one word is wider than that."""
    lines: list[str] = []
    for piece in _pieces(text):
        longer = lines[-1] + piece if lines else piece.lstrip()
        if lines and width_in_ems(longer, face) <= ems:
            lines[-1] = longer
            continue
        alone = piece.strip()
        if width_in_ems(alone, face) > ems:
            return None
        lines.append(alone)
    return tuple(lines)


def block(paras: Sequence[Para], width: float, height: float) -> Block | None:
    """Set texts below each other in a room, all shrunk by the same share; None if they don't fit.

    First each is tried on as few lines as can be, down to a fair size; then wrapped, from the
    largest size again.
    """
    for single, least in ((True, SETTLE), (False, 0)):
        done = _largest(paras, width, height, least, single=single)
        if done is not None:
            return done
    return None


def _largest(
    paras: Sequence[Para], width: float, height: float, least: int, *, single: bool
) -> Block | None:
    """Find the largest step, from `least` to STEPS, at which the texts fit.

    By halving, as what fits at one size fits at every smaller one.
    """
    best = _set(paras, width, height, least / STEPS, single=single)
    low, high = least, STEPS
    while best is not None and low < high:
        middle = (low + high + 1) // 2
        done = _set(paras, width, height, middle / STEPS, single=single)
        if done is None:
            high = middle - 1
        else:
            low, best = middle, done
    return best


def _set(
    paras: Sequence[Para], width: float, height: float, share: float, *, single: bool
) -> Block | None:
    lines: list[Line] = []
    down = 0.0
    for para in paras:
        size, face = para.style.size(share), para.style.face
        texts = wrapped(para.text, face, (width - para.free) / size)
        if texts is None or len(texts) > (1 if single else para.style.lines):
            return None
        down += max(RISE * size, ink_above(texts[0], face) * size, para.above)
        down += APART * size if lines else 0.0
        for number, text in enumerate(texts):
            if number:
                ink = ink_below(texts[number - 1], face) + ink_above(text, face)
                down += max(LEADING, ink) * size
            lines.append(Line(para.part, text, face, size, down))
        down += max(DROP * size, ink_below(texts[-1], face) * size, para.below)
        if down > height:
            return None
    return Block(tuple(lines), down)
