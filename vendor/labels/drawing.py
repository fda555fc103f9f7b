"""Sheets of labels as drawings on a page: to look a print over, and to tap the first label on.

SVG with presentation attributes alone, in points of the paper from its top-left corner. A print is
looked over in its own PDF, made a picture by pdfium.
"""

import base64
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from threading import Lock

import pypdfium2
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from vendor.labels.lengths import points
from vendor.labels.pdf import draw_tags
from vendor.labels.placing import Printing
from vendor.labels.sheets import Frame, Sheet
from vendor.labels.tags import Tag

PIXELS_WIDE = 1_400

_PDFIUM = Lock()
"""One page at a time: pdfium isn't made for several threads."""


@dataclass(frozen=True)
class Preview:
    """The first page of a print: its drawing, and how many pages there are."""

    drawing: SafeString
    pages: int
    count: int


def preview(tags: Sequence[Tag], sheet: Sheet, printing: Printing, start: int) -> Preview:
    """Show the first page of the PDF of a print, with the edges of its labels laid over it.

    Refuses what can't be printed, as `draw_tags` does, by the tags of that page.
    """
    first = tags[: sheet.per_page - start + 1]
    picture = picture_of(draw_tags(first, sheet, printing, start=start))
    image = format_html(
        '<image width="{}" height="{}" href="data:image/png;base64,{}"/>',
        _n(points(sheet.paper_width)),
        _n(points(sheet.paper_height)),
        base64.b64encode(picture).decode(),
    )
    frames = sheet.frames_on_page(1, sheet.per_page, nudge=printing.nudge)
    edges = (_outline(printing.scale.in_file(frame), sheet) for frame in frames)
    label = f"The first page, {len(first)} tag{'s' if len(first) != 1 else ''}"
    drawing = _page(sheet, [image, *edges], label, "labels-preview")
    return Preview(drawing, sheet.pages_for(len(tags), start), len(tags))


def picture_of(data: bytes) -> bytes:
    """Return the first page of a PDF as a PNG, wide enough for a close look on a phone."""
    with _PDFIUM, pypdfium2.PdfDocument(data) as document:
        page = document[0]
        bitmap = page.render(scale=PIXELS_WIDE / page.get_width(), grayscale=True)
        target = BytesIO()
        bitmap.to_pil().save(target, "PNG")
    return target.getvalue()


def begun_sheet(sheet: Sheet, start: int) -> SafeString:
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


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
