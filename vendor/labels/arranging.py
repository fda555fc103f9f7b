"""Chooses how a tag is arranged on a label of any size, and what is left out where it is small.

What is large is the largest, the code can be read under its bars, and a caution is never left out.
"""

from collections.abc import Iterator
from dataclasses import replace

from vendor.labels.arrangements import (
    GOOD_LARGE,
    GOOD_NAME,
    above,
    below,
    beside,
    score,
    with_square,
)
from vendor.labels.placing import Layout, Space
from vendor.labels.symbols import Way
from vendor.labels.tags import Content

FAIR_LARGE, FAIR_NAME = 11.0, 7.0
"""With less than this, a price and a name give no room to what may be left out."""

MAY_GO = ("care", "maker")
"""What is left out where there is no room, in this order."""


def arrange(content: Content, space: Space) -> Layout | None:
    """Give the arrangement that reads best, or None.

    As little is left out as can be; what may be left out gives way where it would make small what
    is read first.
    """
    first: Layout | None = None
    for left_out, texts in _variants(content):
        best = _best(texts, space)
        if best:
            best = replace(best, left_out=left_out)
            if is_fair(best) or not content.large:
                return best
            first = first or best
    if first is None and (content.detail or content.mark):
        tight = _best(_on_two_lines(content), space)
        dropped = tuple(part for part in MAY_GO if getattr(content, part))
        first = replace(tight, left_out=dropped) if tight else None
    return first


def _best(content: Content, space: Space) -> Layout | None:
    """Give the arrangement in which these texts read best, with bars of the usual width if any."""
    best: Layout | None = None
    last_resort: Layout | None = None
    for layout in _arrangements(content, space):
        if layout.bars and layout.bars.bars.last_resort:
            if last_resort is None or _readable(layout) > _readable(last_resort):
                last_resort = layout
            continue
        if best is None or _readable(layout) > _readable(best):
            best = layout
        # the first that is good is taken, so that a sheet's tags look alike
        if _is_good(best, content):
            break
    return best or last_resort


def is_fair(layout: Layout) -> bool:
    """Tell whether what is read first on a tag is large enough to give room to something else."""
    return layout.size_of("large") >= FAIR_LARGE and layout.size_of("name") >= FAIR_NAME


def _arrangements(content: Content, space: Space) -> Iterator[Layout]:
    if not content.code:
        yield from below(content, space)
        return
    if content.way == Way.SQUARE:
        yield from with_square(content, space)
        return
    if content.large:
        yield from beside(content, space)
    yield from above(content, space)


def _is_good(layout: Layout, content: Content) -> bool:
    large = layout.size_of("large") >= GOOD_LARGE or not content.large
    return large and layout.size_of("name") >= GOOD_NAME


def _variants(content: Content) -> Iterator[tuple[tuple[str, ...], Content]]:
    """Give the texts to try in turn: all, and without what may be left out, one after another."""
    yield (), content
    left_out: tuple[str, ...] = ()
    for part in MAY_GO:
        if getattr(content, part):
            left_out, content = (*left_out, part), content.with_text(part, "")
            yield left_out, content


def _on_two_lines(content: Content) -> Content:
    """Give what must be said on as few lines as it can be."""
    return replace(
        content,
        care="",
        maker="",
        name=", ".join(filter(None, (content.name, content.detail))),
        detail="",
        mark="",
        caution=" · ".join(filter(None, (content.mark, content.caution))),
    )


def _readable(layout: Layout) -> float:
    return score(layout.size_of("large"), layout.size_of("name"))
