"""Sets the pieces of a tag in their places: blocks of text, the large text, a mark, the bars.

It knows how each piece looks, not where on the label it goes: that is for `arranging`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from vendor.house.typeface import Face, ink_above, ink_below, width_in_ems
from vendor.labels.code128 import Bars, dot
from vendor.labels.fitting import Block, Para, Style
from vendor.labels.lengths import mm, points
from vendor.labels.placing import PlacedBars, PlacedFrame, PlacedText, Space
from vendor.labels.tags import Content

LARGE = Style(Face.BOLD, largest=36.0, smallest=6.5)
NAME = Style(Face.SEMIBOLD, largest=20.0, lines=3)
DETAIL = Style(Face.REGULAR, largest=13.0, lines=2)
MAKER = Style(Face.REGULAR, largest=8.0)
CARE = Style(Face.REGULAR, largest=7.0, lines=2)
CAUTION = Style(Face.SEMIBOLD, largest=6.5, lines=3)
CODE = Style(Face.SEMIBOLD, largest=7.5)
MARK = Style(Face.SEMIBOLD, largest=7.0)

NAME_TO_LARGE = 0.8
"""A name is at most this share of the large text, so that the large text is seen first."""

DETAIL_TO_NAME, MAKER_TO_NAME = 0.72, 0.5
"""And these at most these shares of the name."""

HIGHEST_BARS = points(mm(13))
BARS_SHARE = 0.38
"""Bars may take this share of the height, where that is more than they must."""

GAP = points(mm("0.7"))
PAD = 0.4
"""Blank on each side of a mark inside its frame, in ems."""

MARK_HIGH, MARK_SINKS = 1.25, 0.295
"""A mark's frame in ems, and how far it sinks below the baseline: the capitals stand midway."""


@dataclass(frozen=True)
class Foot:
    """The bars, the line under them with the code and perhaps a caution, all placed."""

    bars: PlacedBars
    line: tuple[PlacedText, ...]

    @property
    def top(self) -> float:
        """The upper edge of the bars."""
        return self.bars.y + self.bars.height

    @property
    def right(self) -> float:
        """Where something else may begin to the right of the bars."""
        return self.bars.x + self.bars.bars.length + self.bars.bars.quiet

    @property
    def line_top(self) -> float:
        """How far up the ink of the line under the bars goes."""
        return max(ink_top(text) for text in self.line)


def up_to(length: float, grid: float) -> float:
    """Give the least length of whole printer dots that is no less than this."""
    return -(-length // grid) * grid


def ink_top(text: PlacedText) -> float:
    """Give how far up the ink of a placed text goes."""
    return text.y + ink_above(text.text, text.face) * text.size


def line_height(code: str) -> float:
    """Give the least height of the line under bars that says their code, with the gap above it."""
    above, below = ink_above(code, CODE.face), ink_below(code, CODE.face)
    return (above + below) * CODE.smallest + GAP / 2


def foot_heights(bars: Bars, space: Space) -> tuple[float, ...]:
    """Give the heights that bars may have on a label, the best first."""
    good = max(bars.least_height, min(BARS_SHARE * space.inner_height, HIGHEST_BARS))
    return (good, bars.least_height) if good > bars.least_height else (good,)


def foot(
    bars: Bars, space: Space, height: float, caution: str = "", *, centred: bool
) -> Foot | None:
    """Place bars and code at the bottom of a label, the first bar on a whole printer dot.

    A caution goes on the line of the code, to the right. The blank at both sides of the bars may
    lie in the insets, but not off the label. None if it doesn't fit.
    """
    left, right = max(space.left, bars.quiet), space.width - max(space.right, bars.quiet)
    grid = dot(bars.resolution)
    spare = max(0.0, right - left - bars.length) / 2 if centred else 0.0
    x = up_to(left + spare, grid)
    if x + bars.length > right:
        return None
    size = CODE.size(min(1.0, (height - bars.least_height) / points(mm(3))))
    face = CODE.face
    baseline = space.bottom + max(ink_below(text, face) for text in (bars.code, caution)) * size
    width = width_in_ems(bars.code, face) * size
    start = x + (bars.length - width) / 2 if centred and not caution else x
    line = [PlacedText("code", bars.code, face, size, start, baseline, width)]
    if caution:
        wide = width_in_ems(caution, face) * size
        edge = space.width - space.right
        if centred and x + width + 2 * GAP + wide <= x + bars.length:
            edge = x + bars.length
        if start + width + 2 * GAP + wide > edge:
            return None
        line.append(PlacedText("caution", caution, face, size, edge - wide, baseline, wide))
    upon = max(ink_top(text) for text in line) + GAP / 2
    return Foot(PlacedBars(bars, x, upon, height), tuple(line))


def paras(content: Content, large: float, marked: float = 0.0) -> list[Para]:
    """Give the texts that say what the piece is, none larger than goes with the large text.

    Where a mark is to stand beside the last of them, `marked` is its size.
    """
    name = _capped(NAME, NAME_TO_LARGE * large if large else NAME.largest)
    found = [
        Para(part, text, style)
        for part, text, style in (
            ("maker", content.maker, _capped(MAKER, MAKER_TO_NAME * name.largest)),
            ("name", content.name, name),
            ("detail", content.detail, _capped(DETAIL, DETAIL_TO_NAME * name.largest)),
            ("care", content.care, _capped(CARE, MAKER_TO_NAME * name.largest)),
        )
        if text
    ]
    if content.mark and marked:
        found[-1] = replace(
            found[-1],
            free=mark_width(content.mark, marked) + GAP,
            above=mark_height(marked) - MARK_SINKS * marked,
            below=MARK_SINKS * marked,
        )
    return found


def _capped(style: Style, most: float) -> Style:
    return replace(style, largest=max(style.smallest, min(style.largest, most)))


def placed(block: Block, left: float, top: float, right: float | None = None) -> list[PlacedText]:
    """Place a block's lines from a left edge, or against a right edge where one is given."""
    return [
        PlacedText(
            line.part,
            line.text,
            line.face,
            line.size,
            left if right is None else right - line.width,
            top - line.down,
            line.width,
        )
        for line in block.lines
    ]


def large_text(text: str, size: float, right: float, baseline: float) -> PlacedText:
    """Place the large text against a right edge."""
    width = width_in_ems(text, LARGE.face) * size
    return PlacedText("large", text, LARGE.face, size, right - width, baseline, width)


def mark_size(space: Space) -> float:
    """Give the size a mark is set at on a label: smaller on low labels."""
    return MARK.size(min(1.0, max(0.0, space.inner_height / points(mm(10)) - 1)))


def mark_width(text: str, size: float) -> float:
    """Give how wide a mark is with its frame."""
    return (width_in_ems(text, MARK.face) + 2 * PAD) * size


def mark_height(size: float) -> float:
    """Give how high a mark is with its frame."""
    return MARK_HIGH * size


def mark(text: str, size: float, right: float, baseline: float) -> tuple[PlacedText, PlacedFrame]:
    """Place a mark and the thin frame about it against a right edge."""
    width = mark_width(text, size)
    letters = PlacedText(
        "mark",
        text,
        MARK.face,
        size,
        right - width + PAD * size,
        baseline,
        width - 2 * PAD * size,
    )
    height = mark_height(size)
    lower = baseline - MARK_SINKS * size
    return letters, PlacedFrame(right - width, lower, width, height, height / 2)


def sizes(style: Style, most: float) -> Iterator[float]:
    """Give the sizes of a style to try, from the largest that is allowed down."""
    size = min(style.largest, most)
    while size > style.smallest:
        yield size
        size -= max(0.5, size / 20)
    if most >= style.smallest:
        yield style.smallest
