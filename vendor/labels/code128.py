"""Bars of Code 128 (ISO/IEC 15417), placed on the dots of the printer that prints them.

reportlab encodes; the bars are laid out here, because a narrow bar that isn't a whole number of
printer dots comes out uneven and doesn't scan. Lengths are in points.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, pairwise

from reportlab.graphics.barcode.code128 import Code128

from vendor.labels.lengths import POINTS_PER_INCH, in_mm, micrometres, mm, points

RESOLUTIONS = (203, 300, 600)

QUIET_MODULES = 10
"""Blank modules on each side (ISO/IEC 15417:2007, 4.4.2)."""

NARROWEST = points(mm("0.19"))
"""The narrowest bar that usual printers and readers manage (0.19 mm; from memory)."""

WIDEST = points(mm("0.38"))
"""Wider bars are no easier to read at arm's length and only use up the label (common practice)."""

LOWEST = points(mm("6.35"))
"""The least height for a reader held in the hand; sources say 5 or 6.35 mm, this is the larger."""

HEIGHT_SHARE = 0.15
"""The least height as a share of the symbol's length."""

LONGEST_CODE = 48
"""More characters don't fit any label at hand; it keeps a slip from becoming a wall of bars."""


@dataclass(frozen=True)
class Bars:
    """A code's bars at one resolution, in points; `widths` are modules, a bar first, then a space.

    `dots` is the number of printer dots in the narrowest bar. The bars are at least `lowest` high,
    and at least `height_share` of their whole length. A `last_resort` is only for labels that have
    no room for wider bars.
    """

    code: str
    widths: tuple[int, ...]
    resolution: int
    dots: int
    quiet_modules: int = QUIET_MODULES
    lowest: float = LOWEST
    height_share: float = HEIGHT_SHARE
    last_resort: bool = False

    @property
    def module(self) -> float:
        """The width of the narrowest bar."""
        return self.dots * dot(self.resolution)

    @property
    def length(self) -> float:
        """From the first bar's left edge to the last one's right edge."""
        return sum(self.widths) * self.module

    @property
    def quiet(self) -> float:
        """The blank that must stand on each side."""
        return self.quiet_modules * self.module

    @property
    def full_length(self) -> float:
        """The length with the blank on both sides."""
        return self.length + 2 * self.quiet

    @property
    def least_height(self) -> float:
        """The least height that a hand-held reader needs."""
        return max(self.lowest, self.height_share * self.full_length)

    def edges(self) -> tuple[tuple[float, float], ...]:
        """Give each bar as its distance from the first bar's left edge and its width."""
        module = self.module
        stops = [0, *accumulate(self.widths)]
        spans = list(pairwise(stops))[::2]
        return tuple((begin * module, (end - begin) * module) for begin, end in spans)


def dot(resolution: int) -> float:
    """Give the size of one printer dot."""
    return POINTS_PER_INCH / resolution


def code_fault(code: str) -> str | None:
    """Say why a code can't be put in bars at all, or give None if it can."""
    if not code:
        return "There is no code to put in bars."
    strange = "".join(dict.fromkeys(c for c in code if not " " <= c <= "~"))
    if strange:
        return (
            f"The code {code!r} can't be put in bars because of {strange!r}: "
            "use the letters A to Z, digits and hyphens."
        )
    if code != code.strip():
        return f"The code {code!r} begins or ends with a space, which a reader drops."
    if len(code) > LONGEST_CODE:
        return (
            f"The code {code[:12]}… has {len(code)} characters: "
            f"the most that can be put in bars is {LONGEST_CODE}."
        )
    return None


@lru_cache(maxsize=1024)
def module_widths(code: str) -> tuple[int, ...]:
    """Give the widths of a code's bars and spaces in modules, a bar first, without quiet zones.

    The code must have no `code_fault`. Each character is 11 modules, the stop 13.
    """
    symbol = Code128(code)
    symbol.validate()  # type: ignore[no-untyped-call]
    symbol.encode()  # type: ignore[no-untyped-call]
    # the pattern is spelt with A to D for bars and a to d for spaces, 1 to 4 modules wide
    pattern: str = symbol.decompose()  # type: ignore[no-untyped-call]
    return tuple(ord(letter.lower()) - ord("a") + 1 for letter in pattern)


def bars_for(code: str, resolution: int) -> tuple[Bars, ...]:
    """Give a code's bars at every good width for a printer, the widest first."""
    widths = module_widths(code)
    step = dot(resolution)
    choices = [n for n in range(1, resolution) if NARROWEST <= n * step <= WIDEST]
    return tuple(Bars(code, widths, resolution, dots) for dots in reversed(choices))


def room_fault(bars: Bars, width: float, height: float) -> str | None:
    """Say why a code's narrowest bars don't go into a room of `width` × `height`, or give None.

    The height is that above the line of the code under the bars.
    """
    code, resolution = bars.code, bars.resolution
    if bars.full_length > width:
        return (
            f"The code {code} is {_mm(bars.full_length)} mm long in bars at {resolution} dots to "
            f"the inch, with the blank it needs on both sides, and there is room for "
            f"{_mm(width)} mm. Take wider labels or a shorter code."
        )
    if bars.least_height > height:
        return (
            f"The bars of {code} must be {_mm(bars.least_height)} mm high to be read, and above "
            f"the code there is room for {_mm(height)} mm. Take higher labels."
        )
    return None


def _mm(pt: float) -> str:
    return in_mm(round(micrometres(pt), -2))
