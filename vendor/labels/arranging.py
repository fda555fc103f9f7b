"""Arranges a tag's texts and bars on a label of any size.

The large text stands *beside* the bars, on labels that are wide enough, or *above* them; without
bars it stands *below* the rest. What reads best is taken, with everything on the tag or else with
less. What is large is the largest, the code can be read under its bars, and a caution is never
left out.
"""

from collections.abc import Iterator
from dataclasses import replace

from vendor.labels.code128 import bars_for
from vendor.labels.fitting import Block, Para, block
from vendor.labels.fonts import ink_above, ink_below, width_in_ems
from vendor.labels.placing import Layout, PlacedFrame, PlacedText, Space
from vendor.labels.setting import (
    CAUTION,
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
)
from vendor.labels.tags import Content

GOOD_LARGE = 18.0
"""A price of this size is read from across the table; nothing else need shrink for more."""

GOOD_NAME = 9.0
"""A name of this size is read from where a piece is picked up."""

BESIDE_SHARE = 0.62
"""Bars beside a large text take at most this share of the width, or else their least."""

COLUMN_SHARE = 0.55
"""A large text above the bars takes at most this share of the width from the name."""


def arrange(content: Content, space: Space) -> Layout | None:
    """Give the arrangement that reads best, with as little left out as can be, or None."""
    for left_out, texts in _variants(content):
        best: Layout | None = None
        for layout in _arrangements(texts, space):
            if best is None or _readable(layout) > _readable(best):
                best = layout
            # the first that is good is taken, so that a sheet's tags look alike
            if _is_good(best, texts):
                break
        if best:
            return replace(best, left_out=left_out)
    return None


def _arrangements(content: Content, space: Space) -> Iterator[Layout]:
    if not content.code:
        yield from _below(content, space)
        return
    if content.large:
        yield from _beside(content, space)
    yield from _above(content, space)


def _is_good(layout: Layout, content: Content) -> bool:
    large = layout.size_of("large") >= GOOD_LARGE or not content.large
    return large and layout.size_of("name") >= GOOD_NAME


def _variants(content: Content) -> Iterator[tuple[tuple[str, ...], Content]]:
    """Give the texts to try in turn: all; without the maker; the rest on two lines."""
    yield (), content
    short = replace(content, maker="")
    left_out = ("maker",) if content.maker else ()
    if content.maker:
        yield left_out, short
    if content.detail or content.mark:
        yield (
            left_out,
            replace(
                short,
                name=", ".join(filter(None, (content.name, content.detail))),
                detail="",
                mark="",
                caution=" · ".join(filter(None, (content.mark, content.caution))),
            ),
        )


def _score(large: float, name: float) -> float:
    """Weigh the sizes of what is read first, which are at each other's cost."""
    return min(large, GOOD_LARGE) + 3 * min(name, GOOD_NAME) + (large + name) / 10


def _readable(layout: Layout) -> float:
    return _score(layout.size_of("large"), layout.size_of("name"))


def _name_size(done: Block) -> float:
    return max(line.size for line in done.lines if line.part == "name")


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


def _beside(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangements with the large text to the right of the bars."""
    choices = bars_for(content.code, space.resolution)
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


def _above(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangements with the large text above the bars."""
    for bars in bars_for(content.code, space.resolution):
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
            best is None or _score(size, _name_size(done)) > _score(best[0], _name_size(best[1]))
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


# no bars: large text below the rest


def _below(content: Content, space: Space) -> Iterator[Layout]:
    """Give the arrangement of a tag without bars: the piece above, the large text at the foot."""
    left, right, top = space.left, space.width - space.right, space.height - space.top
    across, floor = right - left, space.bottom
    note: list[PlacedText] = []
    if content.caution:
        done = block([Para("caution", content.caution, CAUTION)], across, top - floor)
        if done is None:
            return
        note = placed(done, left, floor + done.height)
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
        yield _finished(texts, content, space, top - upper.lines[-1].down, None)
