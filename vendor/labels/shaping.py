"""What is done with the paper of a tag: left flat, punched and hung, or folded into two faces.

Each shape gives the rooms in which `arranging` arranges texts and bars; the studio's mark takes a
strip of a room where what is read first has enough without it.
"""

from dataclasses import replace

from vendor.labels.arranging import arrange, is_fair
from vendor.labels.code128 import dot
from vendor.labels.lengths import mm, points
from vendor.labels.placing import (
    Layout,
    PlacedFold,
    PlacedHole,
    PlacedPicture,
    Space,
)
from vendor.labels.setting import up_to
from vendor.labels.tags import Content, Picture, Shape

HOLE_RADIUS = points(mm(2))
HOLE_FROM_EDGE = points(mm(5))
"""A hole of 4 mm takes a thin string; 3 mm of paper stay about it, so that it doesn't tear out
(common practice)."""

CLEAR = points(mm(1))
"""Blank between a hole or a fold and what is printed."""

PICTURE_SHARE = 0.22
"""A mark takes at most this share of the room's longer side."""

LARGEST_PICTURE, SMALLEST_PICTURE = points(mm(16)), points(mm(4))


def shape(content: Content, space: Space) -> Layout | None:
    """Arrange a tag in its shape; None where it doesn't fit."""
    if content.shape == Shape.FOLD:
        return _folded(content, space)
    if content.shape == Shape.HANG:
        room, shift, hole = _punched(space)
        done = _face(content, room)
        return replace(_moved(done, shift), hole=hole) if done else None
    return _face(content, space)


def rooms_of(content: Content, space: Space) -> tuple[Space, ...]:
    """Give the rooms that a tag's shape offers to its code."""
    if content.shape == Shape.FOLD:
        return tuple(back for _, back in (_book(space), _tent(space)))
    return (_punched(space)[0],) if content.shape == Shape.HANG else (space,)


def _punched(space: Space) -> tuple[Space, float, PlacedHole]:
    """Give the room beside a hole near the shorter side, where it begins, and the hole."""
    taken = up_to(HOLE_FROM_EDGE + HOLE_RADIUS, dot(space.resolution))
    if space.width >= space.height:
        hole = PlacedHole(HOLE_FROM_EDGE, space.height / 2, HOLE_RADIUS)
        return _without_left(space, taken), taken, hole
    hole = PlacedHole(space.width / 2, space.height - HOLE_FROM_EDGE, HOLE_RADIUS)
    return _without_top(space, taken), 0.0, hole


def _without_left(space: Space, taken: float) -> Space:
    """Give the room to the right of a strip: a label of its own, so that blanks stay clear too."""
    return replace(space, width=space.width - taken, left=CLEAR)


def _without_top(space: Space, taken: float) -> Space:
    return replace(space, height=space.height - taken, top=CLEAR)


# two faces


def _folded(content: Content, space: Space) -> Layout | None:
    """Put what sells the piece on the front, and who made it and the bars on the back."""
    front, back = _faces(content)
    wide, high = _as_book(front, back, space), _as_tent(front, back, space)
    if wide and (high is None or is_fair(wide) or not is_fair(high)):
        return wide
    return high


def _faces(content: Content) -> tuple[Content, Content]:
    front = replace(content, code="", caution="", care="", maker="", picture=None, shape=Shape.FLAT)
    back = Content(
        name=content.maker or content.name,
        detail=content.care,
        code=content.code,
        caution=content.caution,
        way=content.way,
        picture=content.picture,
        needs=(),
    )
    return front, back


def _book(space: Space) -> tuple[Space, Space]:
    """Give the rooms of the front, at the right, and of the back, for a fold down the middle."""
    half = space.width / 2
    back = replace(space, width=half, right=CLEAR)
    return replace(space, width=half, left=CLEAR), back


def _tent(space: Space) -> tuple[Space, Space]:
    """Give the rooms of the front, below, and of the back, for a fold across the middle.

    The back is printed upside down, so that its room is that of the upper half turned about.
    """
    half = space.height / 2
    front = replace(space, height=half, top=CLEAR)
    back = replace(
        space, height=half, left=space.right, right=space.left, bottom=space.top, top=CLEAR
    )
    return front, back


def _as_book(front: Content, back: Content, space: Space) -> Layout | None:
    front_room, back_room = _book(space)
    right, left = arrange(front, front_room), _back(back, back_room)
    if right is None or left is None:
        return None
    shift = up_to(front_room.width, dot(space.resolution))
    moved = _moved(right, shift)
    return replace(
        left,
        texts=(*left.texts, *moved.texts),
        frames=(*left.frames, *moved.frames),
        left_out=(*left.left_out, *right.left_out),
        fold=PlacedFold(space.width / 2, 0, space.width / 2, space.height),
    )


def _as_tent(front: Content, back: Content, space: Space) -> Layout | None:
    front_room, back_room = _tent(space)
    low, high = arrange(front, front_room), _back(back, back_room)
    if low is None or high is None:
        return None
    grid = dot(space.resolution)
    return replace(
        low,
        left_out=(*low.left_out, *high.left_out),
        fold=PlacedFold(0, space.height / 2, space.width, space.height / 2),
        turned=high,
        turn=(space.width // grid * grid, space.height // grid * grid),
    )


def _back(content: Content, room: Space) -> Layout | None:
    """Arrange the back: with who made the piece, else with the code and a caution alone."""
    done = _face(content, room)
    if done or not content.code:
        return done
    bare = _face(replace(content, name="", detail="", picture=None), room)
    return replace(bare, left_out=("maker",)) if bare else None


def _moved(layout: Layout, right: float) -> Layout:
    """Give the same layout further to the right, by whole printer dots."""
    bars, square, picture = layout.bars, layout.square, layout.picture
    return replace(
        layout,
        texts=tuple(replace(text, x=text.x + right) for text in layout.texts),
        frames=tuple(replace(frame, x=frame.x + right) for frame in layout.frames),
        bars=replace(bars, x=bars.x + right) if bars else None,
        square=replace(square, x=square.x + right) if square else None,
        picture=replace(picture, x=picture.x + right) if picture else None,
    )


# the studio's mark


def _face(content: Content, space: Space) -> Layout | None:
    """Arrange one face, with the studio's mark on it where there is room; else with its name."""
    if content.picture is None:
        return arrange(content, space)
    pictured = _pictured(replace(content, picture=None, maker=""), content.picture, space)
    if pictured:
        return pictured
    done = arrange(replace(content, picture=None), space)
    return replace(done, left_out=(*done.left_out, "picture")) if done else None


def _pictured(content: Content, picture: Picture, space: Space) -> Layout | None:
    """Give the arrangement with the mark in a strip at the left, or at the top of a high label."""
    wide, high = space.inner_width, space.inner_height
    across = wide >= high
    width = min(
        PICTURE_SHARE * wide if across else wide,
        (high if across else PICTURE_SHARE * high) * picture.aspect,
        LARGEST_PICTURE,
    )
    height = width / picture.aspect
    if max(width, height) < SMALLEST_PICTURE:
        return None
    top = space.height - space.top - height
    box = PlacedPicture(picture, space.left, top, width, height)
    strip = up_to(space.left + width, dot(space.resolution)) if across else 0.0
    rest = _without_left(space, strip) if across else _without_top(space, space.top + height)
    done = arrange(content, rest)
    good = done is not None and (is_fair(done) or not content.large) and not done.left_out
    return replace(_moved(done, strip), picture=box) if done and good else None
