"""The ways in which a tag's texts and its symbol can stand to each other on a label.

The large text stands *beside* the bars, on labels that are wide enough, or *above* them; a square
has everything *beside* or above it; without a symbol the large text stands *below* the rest.
"""

from collections.abc import Iterator
from dataclasses import replace

from vendor.house.typeface import ink_above, ink_below, width_in_ems
from vendor.labels.code128 import dot
from vendor.labels.fitting import Block, Para, block
from vendor.labels.placing import Layout, PlacedFrame, PlacedSquare, PlacedText, Space
from vendor.labels.setting import (
    CAUTION,
    CODE,
    GAP,
    LARGE,
    MARK_HIGH,
    MARK_SINKS,
    Foot,
    foot,
    foot_heights,
    large_text,
    mark,
    mark_height,
    mark_size,
    mark_width,
    paras,
    placed,
    sizes,
    up_to,
)
from vendor.labels.square import squares_for
from vendor.labels.symbols import bars_for
from vendor.labels.tags import Content

GOOD_LARGE = 18.0
"""A price of this size is read from across the table; nothing else need shrink for more."""

GOOD_NAME = 9.0
"""A name of this size is read from where a piece is picked up."""

BESIDE_SHARE = 0.62
"""Bars beside a large text take at most this share of the width, or else their least."""

COLUMN_SHARE = 0.55
"""A large text above the bars takes at most this share of the width from the name."""


def score(large: float, name: float) -> float:
    """Weigh the sizes of what is read first, which are at each other's cost."""
    return min(large, GOOD_LARGE) + 3 * min(name, GOOD_NAME) + (large + name) / 10


def _name_size(done: Block) -> float:
    return max((line.size for line in done.lines if line.part == "name"), default=0.0)


def _finished(
    texts: list[PlacedText], content: Content, space: Space, baseline: float, under: Foot | None
) -> Layout:
    """Finish a layout: add the mark on its baseline against the right edge, and the foot."""
    frames: tuple[PlacedFrame, ...] = ()
    if content.mark:
        right = space.width - space.right
        letters, frame = mark(content.mark, mark_size(space), right, baseline)
        texts = [*texts, letters]
        frames = (frame,)
    if under is None:
        return Layout(tuple(texts), None, frames)
    return Layout((*texts, *under.line), under.bars, frames)


# large text beside the bars


def beside(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangements with the large text to the right of the bars."""
    choices = bars_for(content.way, content.code, space.resolution)
    for bars in choices:
        if bars is not choices[-1] and bars.full_length > BESIDE_SHARE * space.inner_width:
            continue
        for height in foot_heights(bars, space):
            under = foot(bars, space, height, content.caution, centred=False)
            layout = _beside_foot(content, space, under) if under else None
            if layout:
                yield layout


def _beside_foot(content: Content, space: Space, under: Foot) -> Layout | None:
    """Fill the column to the right of the bars, and the room above all."""
    left, right, top = under.bars.x, space.width - space.right, space.height - space.top
    above, below = ink_above(content.large, LARGE.face), ink_below(content.large, LARGE.face)
    least = under.line_top + GAP if content.caution else space.bottom
    size = min(
        LARGE.largest,
        (right - under.right) / width_in_ems(content.large, LARGE.face),
        (under.top - under.bars.y) / above,
        (under.top - least) / (above + below),
    )
    if size < LARGE.smallest:
        return None
    upper = block(paras(content, size, mark_size(space)), right - left, top - under.top - GAP)
    if upper is None:
        return None
    baseline = max(under.bars.y, least + below * size)
    texts = [*placed(upper, left, top), large_text(content.large, size, right, baseline)]
    return _finished(texts, content, space, top - upper.lines[-1].down, under)


# large text above the bars


def above(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangements with the large text above the bars."""
    for bars in bars_for(content.way, content.code, space.resolution):
        for height in foot_heights(bars, space):
            under = foot(bars, space, height, content.caution, centred=True)
            layout = _above_foot(content, space, under) if under else None
            if layout:
                yield layout


def _above_foot(content: Content, space: Space, under: Foot) -> Layout | None:
    """Fill the room above the bars: the piece to the left, the large text to the right."""
    left, right, top = space.left, space.width - space.right, space.height - space.top
    room = top - under.top - GAP
    best: tuple[float, Block] | None = None
    for size in _large_sizes(content, (right - left) * COLUMN_SHARE):
        wide, high = _column(content, size, space)
        done = block(paras(content, size), right - left - wide, room) if high <= room else None
        if done and (
            best is None or score(size, _name_size(done)) > score(best[0], _name_size(best[1]))
        ):
            best = (size, done)
            if _name_size(done) >= GOOD_NAME:
                break
    if best is None:
        return None
    size, done = best
    texts = placed(done, left, top)
    baseline = top
    if content.large:
        baseline -= ink_above(content.large, LARGE.face) * size
        texts.append(large_text(content.large, size, right, baseline))
        baseline -= ink_below(content.large, LARGE.face) * size + GAP
    return _finished(
        texts, content, space, baseline - (MARK_HIGH - MARK_SINKS) * mark_size(space), under
    )


def _large_sizes(content: Content, most: float) -> Iterator[float]:
    if not content.large:
        return iter((0.0,))
    return sizes(LARGE, most / width_in_ems(content.large, LARGE.face))


def _column(content: Content, size: float, space: Space) -> tuple[float, float]:
    """Give the width and height of the large text with the mark under it."""
    face = LARGE.face
    wide = width_in_ems(content.large, face) * size
    high = (ink_above(content.large, face) + ink_below(content.large, face)) * size
    if content.mark:
        wide = max(wide, mark_width(content.mark, mark_size(space)))
        high += mark_height(mark_size(space)) + GAP
    return (wide + 2 * GAP if wide else 0.0), high


# a square: everything else beside it, or above it


def with_square(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangements with the square of the code at the left, or at the foot."""
    grid = dot(space.resolution)
    for square in squares_for(content.code, space.resolution):
        if square.side > space.inner_height or square.full_side > min(space.width, space.height):
            continue
        x = up_to(max(space.left, square.quiet), grid)
        low = max(space.bottom, square.quiet)
        high = space.height - max(space.top, square.quiet) - square.side
        if low > high:
            continue
        middle = up_to(max(low, min((space.height - square.side) / 2, high - grid)), grid)
        for y, rest in (
            (middle, replace(space, left=x + square.side + square.quiet)),
            (up_to(low, grid), replace(space, bottom=up_to(low, grid) + square.full_side)),
        ):
            if min(rest.inner_width, rest.inner_height) > 0 and y <= high:
                for layout in below(content, rest):
                    yield replace(layout, square=PlacedSquare(square, x, y))


# no bars: large text below the rest


def below(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangement of a tag without bars: the piece above, the large text at the foot."""
    left, right, top = space.left, space.width - space.right, space.height - space.top
    across, floor = right - left, space.bottom
    note: list[PlacedText] = []
    for part, text, style in (("code", content.code, CODE), ("caution", content.caution, CAUTION)):
        done = block([Para(part, text, style)], across, top - floor) if text else None
        if text and done is None:
            return
        if done:
            note += placed(done, left, floor + done.height)
            floor += done.height + GAP
    below = ink_below(content.large, LARGE.face)
    for size in _large_sizes(content, across):
        high = (ink_above(content.large, LARGE.face) + below) * size
        upper = block(paras(content, size, mark_size(space)), across, top - floor - high - GAP)
        if upper is None:
            continue
        texts = [*placed(upper, left, top), *note]
        if content.large:
            texts.append(large_text(content.large, size, right, floor + below * size))
        yield _finished(
            texts, content, space, top - (upper.lines[-1].down if upper.lines else 0.0), None
        )
