"""Sheets of labels as drawings on a page: to look a print over, and to tap the first label on.

SVG with presentation attributes alone, in points of the paper from its top-left corner. A tag is
drawn from the very layout that the PDF is drawn from; letters are fitted to their printed width.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from vendor.labels.fonts import Face
from vendor.labels.lengths import points
from vendor.labels.placing import (
    Layout,
    PlacedBars,
    PlacedFold,
    PlacedFrame,
    PlacedHole,
    PlacedPicture,
    PlacedSquare,
    PlacedText,
    Printing,
)
from vendor.labels.sheets import Frame, Sheet
from vendor.labels.tags import Tag

WEIGHTS = {Face.REGULAR: 400, Face.SEMIBOLD: 600, Face.BOLD: 700}


@dataclass(frozen=True)
class Preview:
    """The first page of a print: its drawing, and how many pages there are."""

    drawing: SafeString
    pages: int
    count: int


def preview(
    tags: Sequence[Tag], layouts: Mapping[Tag, Layout], sheet: Sheet, printing: Printing, start: int
) -> Preview:
    """Draw the first page of a print, its tags in the places where they will be printed."""
    frames = sheet.frames_on_page(1, len(tags), start)
    drawn = (
        format_html(
            '<g transform="translate({} {})">{}</g>',
            _n(points(frame.x)),
            _n(points(frame.bottom)),
            _tag(layouts[tag]),
        )
        for tag, frame in zip(tags, frames, strict=False)
    )
    inner = [_outline(frame, sheet) for frame in _all_frames(sheet)]
    label = f"The first page, {len(frames)} tags"
    drawing = _page(sheet, [*inner, *drawn], label, "labels-preview")
    return Preview(drawing, sheet.pages_for(len(tags), start), len(tags))


def begun_sheet(sheet: Sheet, start: int, count: int = 0) -> SafeString:
    """Draw a sheet of which the labels before `start` are used, each label with its number.

    The number field beside it says the same for a keyboard and a screen reader.
    """
    cells = format_html_join(
        "",
        '<g data-label="{}"{}><rect x="{}" y="{}" width="{}" height="{}" rx="{}"/>'
        '<text x="{}" y="{}" font-size="{}" text-anchor="middle">{}</text></g>',
        (
            (
                frame.position,
                mark_safe(' class="used"' if frame.position < start else ""),  # noqa: S308
                _n(points(frame.x)),
                _n(points(frame.y)),
                _n(points(frame.width)),
                _n(points(frame.height)),
                _n(points(sheet.corner_radius)),
                _n(points(frame.x + frame.width // 2)),
                _n(points(frame.y + frame.height // 2) + _number_size(sheet) * 0.35),
                _n(_number_size(sheet)),
                frame.position,
            )
            for frame in _all_frames(sheet)
        ),
    )
    return format_html(
        '<svg class="labels-sheet" viewBox="0 0 {} {}" aria-hidden="true" data-sheet>'
        '<rect class="paper-edge" width="{}" height="{}"/>{}</svg>',
        *(_n(points(side)) for side in (sheet.paper_width, sheet.paper_height) * 2),
        cells,
    )


def _number_size(sheet: Sheet) -> float:
    return min(points(sheet.label_height) * 0.45, points(sheet.label_width) * 0.3, 24.0)


def _all_frames(sheet: Sheet) -> Iterable[Frame]:
    return (sheet.frame(position) for position in range(1, sheet.per_page + 1))


def _page(sheet: Sheet, inner: Iterable[SafeString], label: str, name: str) -> SafeString:
    return format_html(
        '<svg class="{}" viewBox="0 0 {} {}" role="img" aria-label="{}">'
        '<rect width="{}" height="{}" fill="#fff"/><g fill="#000">{}</g></svg>',
        name,
        _n(points(sheet.paper_width)),
        _n(points(sheet.paper_height)),
        label,
        _n(points(sheet.paper_width)),
        _n(points(sheet.paper_height)),
        format_html_join("", "{}", ((each,) for each in inner)),
    )


def _outline(frame: Frame, sheet: Sheet) -> SafeString:
    return format_html(
        '<rect x="{}" y="{}" width="{}" height="{}" rx="{}" fill="none" stroke="#bbb" '
        'stroke-width=".5"/>',
        _n(points(frame.x)),
        _n(points(frame.y)),
        _n(points(frame.width)),
        _n(points(frame.height)),
        _n(points(sheet.corner_radius)),
    )


def _tag(layout: Layout) -> SafeString:
    """Draw a tag from its lower left corner, which is where the drawing's origin was put."""
    pieces = [_text(text) for text in layout.texts]
    if layout.turned:
        x, y = layout.turn
        turned = f"translate({_n(x)} {_n(-y)}) rotate(180)"
        pieces.append(format_html('<g transform="{}">{}</g>', turned, _tag(layout.turned)))
    pieces += [_line(each) for each in (layout.hole, layout.fold) if each]
    if layout.picture:
        pieces.append(_picture(layout.picture))
    if layout.square:
        pieces.append(_square(layout.square))
    pieces += [_mark_frame(frame) for frame in layout.frames]
    if layout.bars:
        pieces.append(_bars(layout.bars))
    return format_html_join("", "{}", ((piece,) for piece in pieces))


def _text(text: PlacedText) -> SafeString:
    return format_html(
        '<text x="{}" y="{}" font-size="{}" font-weight="{}" textLength="{}" '
        'lengthAdjust="spacingAndGlyphs">{}</text>',
        _n(text.x),
        _n(-text.y),
        _n(text.size),
        WEIGHTS[text.face],
        _n(text.width),
        text.text,
    )


def _mark_frame(frame: PlacedFrame) -> SafeString:
    return format_html(
        '<rect x="{}" y="{}" width="{}" height="{}" rx="{}" fill="none" stroke="#000" '
        'stroke-width=".5"/>',
        _n(frame.x),
        _n(-frame.y - frame.height),
        _n(frame.width),
        _n(frame.height),
        _n(frame.radius),
    )


def _line(placed: PlacedHole | PlacedFold) -> SafeString:
    """Draw what is punched or folded, not printed on."""
    if isinstance(placed, PlacedHole):
        return format_html(
            '<circle cx="{}" cy="{}" r="{}" fill="none" stroke="#999" stroke-width=".5"/>',
            *(_n(value) for value in (placed.x, -placed.y, placed.radius)),
        )
    return format_html(
        '<path d="M{} {}L{} {}" fill="none" stroke="#999" stroke-width=".5" '
        'stroke-dasharray="2 2"/>',
        *(_n(value) for value in (placed.x, -placed.y, placed.to_x, -placed.to_y)),
    )


def _picture(placed: PlacedPicture) -> SafeString:
    return format_html(
        '<image x="{}" y="{}" width="{}" height="{}" href="{}"/>',
        _n(placed.x),
        _n(-placed.y - placed.height),
        _n(placed.width),
        _n(placed.height),
        reverse("labels:mark"),
    )


def _square(placed: PlacedSquare) -> SafeString:
    path = "".join(
        f"M{_n(placed.x + x)} {_n(-placed.y - y - height)}h{_n(width)}v{_n(height)}h{_n(-width)}z"
        for x, y, width, height in placed.square.runs()
    )
    return format_html('<path d="{}"/>', path)


def _bars(placed: PlacedBars) -> SafeString:
    top = _n(-placed.y - placed.height)
    path = "".join(
        f"M{_n(placed.x + left)} {top}h{_n(width)}v{_n(placed.height)}h{_n(-width)}z"
        for left, width in placed.bars.edges()
    )
    return format_html('<path d="{}"/>', path)


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
