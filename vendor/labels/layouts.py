"""Lays a tag out on a label, or gives every reason why it can't be printed there.

This is the one way in for whoever prints: characters without a glyph, codes that can't be put in
bars, bars that are too long and texts that are too long are all told here, by tag and label.
"""

from collections.abc import Iterator

from vendor.house.typeface import missing_glyphs
from vendor.labels.lengths import in_mm, micrometres
from vendor.labels.placing import Fault, Layout, Space
from vendor.labels.shaping import rooms_of, shape
from vendor.labels.symbols import code_fault, room_fault
from vendor.labels.tags import Content, Shape, Tag

PARTS = {
    "name": "name",
    "detail": "finish",
    "large": "price or recipient",
    "mark": "grade mark",
    "caution": "caution",
    "care": "care line",
    "maker": "studio's name",
    "picture": "studio's mark",
    "code": "code",
}
"""What each part of a tag is called."""


def lay_out(tag: Tag, space: Space) -> Layout | tuple[Fault, ...]:
    """Arrange a tag on the space of a label; or give every fault that keeps it off the label."""
    content = tag.content()
    faults = (*_letter_faults(content), *_code_faults(content, space))
    if faults:
        return faults
    return shape(content, space) or (_length_fault(content, space),)


def _said(content: Content) -> str:
    return " · ".join(text for text in (content.name, content.code) if text) or "without any text"


def _letter_faults(content: Content) -> Iterator[Fault]:
    tag = _said(content)
    for part in content.needs:
        if not getattr(content, part):
            sentence = f"The tag {tag} has no {PARTS[part]}: give it one before it is printed."
            yield Fault(tag, part, "", sentence)
    for part, text in content.texts():
        missing = missing_glyphs(text) if part != "code" else ""
        if missing:
            shown = " ".join(missing)
            sentence = (
                f"The {PARTS[part]} “{text}” can't be printed: the typeface has no {shown}. "
                "Write it with other letters."
            )
            yield Fault(tag, part, text, sentence)


def _code_faults(content: Content, space: Space) -> Iterator[Fault]:
    """Tell of a code that no symbol can say, or that is too long for every room a tag offers it."""
    if not content.code:
        return
    sentence = code_fault(content.way, content.code)
    if sentence is None:
        found = [room_fault(content.way, content.code, room) for room in rooms_of(content, space)]
        sentence = found[0] if all(found) else None
    if sentence:
        yield Fault(_said(content), "code", content.code, sentence)


def _length_fault(content: Content, space: Space) -> Fault:
    """Find the text that is too long: the first without which the rest would fit."""
    tag = _said(content)
    for part in ("name", "detail", "large", "caution", "mark"):
        text = getattr(content, part)
        shorter = content.with_text(part, "x" if part == "name" else "")
        if text and shape(shorter, space):
            sentence = (
                f"The {PARTS[part]} “{text}” is too long for a {space.label} label, even in the "
                "smallest letters that can be read. Shorten it, or take larger labels."
            )
            return Fault(tag, part, text, sentence)
    size = f"{in_mm(round(micrometres(space.inner_width), -2))} × " + (
        f"{in_mm(round(micrometres(space.inner_height), -2))} mm"
    )
    kind = {Shape.HANG: "hang tag ", Shape.FOLD: "fold-over tag "}.get(Shape(content.shape), "tag ")
    sentence = (
        f"The {kind}{tag} doesn't go on a {space.label} label, of which {size} can be printed on. "
        "Take larger labels, or put less on the tag."
    )
    return Fault(tag, "name", content.name, sentence)
