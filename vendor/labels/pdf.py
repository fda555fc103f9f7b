"""Draws tags on sheets of labels as a PDF that prints at its true size.

The same tags on the same sheet give the same bytes. Everything is checked before the first page
is drawn: a file either holds every tag or isn't made at all.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice

from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from vendor.house.errors import Refused
from vendor.house.typeface import Face, draw_text, registered
from vendor.labels.code128 import dot
from vendor.labels.layouts import PARTS, lay_out
from vendor.labels.lengths import points
from vendor.labels.placing import (
    HAIRLINE,
    Fault,
    Layout,
    PlacedBars,
    PlacedFrame,
    PlacedPicture,
    PlacedSquare,
    PlacedText,
    Printing,
    space_on,
)
from vendor.labels.sheets import Frame, Sheet
from vendor.labels.tags import Tag

MOST_TAGS = 10_000
"""The most tags in one file. More would be a stack of paper that no one can stop in time when the
first sheet is crooked, and a file that printers are slow to take."""

TOLD = 5
"""How many faults are told in one refusal."""

FRAME_LINE = 0.5


class TagsRefused(Refused):
    """Tags that weren't printed; `faults` says why, tag by tag."""

    def __init__(self, message: str, faults: Sequence[Fault] = ()) -> None:
        super().__init__(message)
        self.faults = tuple(faults)


@dataclass(frozen=True)
class Checked:
    """Tags that were looked over before printing: what stands in the way, and what is left out.

    `layouts` holds each distinct tag that fits; `notes` are sentences for the potter.
    """

    layouts: Mapping[Tag, Layout]
    faults: tuple[Fault, ...]
    notes: tuple[str, ...]


def check_tags(tags: Iterable[Tag], sheet: Sheet, printing: Printing) -> Checked:
    """Lay out each distinct tag on a sheet, and give every fault and every note."""
    space = space_on(sheet, printing)
    counts = Counter(tags)
    layouts: dict[Tag, Layout] = {}
    faults: list[Fault] = []
    for tag in counts:
        done = lay_out(tag, space)
        if isinstance(done, Layout):
            layouts[tag] = done
        else:
            faults += done
    return Checked(layouts, tuple(faults), _notes(counts, layouts, space.label))


def _notes(counts: Counter[Tag], layouts: Mapping[Tag, Layout], label: str) -> tuple[str, ...]:
    """Say how many tags had no room for what may be left out."""
    without: Counter[str] = Counter()
    for tag, layout in layouts.items():
        for part in set(layout.left_out):
            without[part] += counts[tag]
    return tuple(
        f"The {PARTS[part]} is left out of {count:,} tag{'s' if count != 1 else ''}: "
        f"there is no room for it on a {label} label."
        for part, count in sorted(without.items())
    )


def draw_tags(
    tags: Iterable[Tag], sheet: Sheet, printing: Printing | None = None, *, start: int = 1
) -> bytes:
    """Draw tags one after another on sheets of labels, the first at position `start`.

    Refuses no tags, too many tags, a sheet or printer whose numbers are wrong, and tags that don't
    fit their labels; nothing is drawn then.
    """
    printing = printing or Printing()
    wanted = list(islice(tags, MOST_TAGS + 1))
    refuse_count(len(wanted))
    check_sheet(sheet, printing)
    pages = sheet.pages_for(len(wanted), start)
    checked = check_tags(wanted, sheet, printing)
    refuse_faults(checked.faults)
    target = BytesIO()
    canvas = canvas_for(sheet, f"Tags, {sheet.name}", target)
    forms = _Forms(canvas, Counter(wanted), checked.layouts)
    queue = iter(wanted)
    for page in range(1, pages + 1):
        for frame in sheet.frames_on_page(page, len(wanted), start, printing.nudge):
            if printing.outline:
                draw_outline(canvas, frame, sheet)
            forms.draw(next(queue), *_origin(frame, sheet, printing.resolution))
        canvas.showPage()
    canvas.save()
    return target.getvalue()


def refuse_count(count: int) -> None:
    """Refuse no tags, and more than go in one file."""
    if not count:
        raise TagsRefused("There are no tags to print. Choose at least one piece to tag.")
    if count > MOST_TAGS:
        raise TagsRefused(
            f"That is more than {MOST_TAGS:,} tags, the most that go in one file: a longer one is "
            "slow to open and hard to stop at the printer. Nothing was printed. Print the tags in "
            "several runs."
        )


def refuse_faults(faults: Sequence[Fault]) -> None:
    """Refuse tags that don't fit, with the first reasons and the number of the others."""
    if faults:
        told = " ".join(fault.sentence for fault in faults[:TOLD])
        more = f" And {len(faults) - TOLD:,} more." if len(faults) > TOLD else ""
        raise TagsRefused(f"Nothing was printed. {told}{more}", faults)


def check_sheet(sheet: Sheet, printing: Printing) -> None:
    """Refuse a sheet or a printer whose numbers are wrong, with everything that is wrong."""
    wrong = (*sheet.faults(), *printing.faults())
    if wrong:
        raise TagsRefused(f"Nothing was printed. {' '.join(wrong)}")


def canvas_for(sheet: Sheet, title: str, target: BytesIO) -> Canvas:
    """Open a PDF of a sheet's paper size that asks to be printed at its true size."""
    registered(Face.REGULAR)
    canvas = Canvas(
        target,
        pagesize=(points(sheet.paper_width), points(sheet.paper_height)),
        pageCompression=1,
        invariant=1,
        lang="en",
        # else every page names a font that isn't embedded
        initialFontName=Face.REGULAR,  # type: ignore[arg-type]  # the stubs say a number
    )
    canvas.setTitle(title)
    canvas.setSubject("Print at actual size (100 %), not fitted to the page.")
    canvas.setCreator("Wareboard")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def draw_outline(canvas: Canvas, frame: Frame, sheet: Sheet) -> None:
    """Draw a label's edge as a hairline."""
    canvas.setLineWidth(HAIRLINE)
    canvas.roundRect(
        points(frame.x),
        points(sheet.paper_height - frame.bottom),
        points(frame.width),
        points(frame.height),
        points(sheet.corner_radius),
    )


class _Forms:
    """Draws tags, those that come more than once from a form that is stored once in the file."""

    def __init__(
        self, canvas: Canvas, counts: Mapping[Tag, int], layouts: Mapping[Tag, Layout]
    ) -> None:
        self._canvas = canvas
        self._layouts = layouts
        self._names: dict[Tag, str] = {}
        for tag, count in counts.items():
            if count > 1:
                name = f"tag{len(self._names) + 1}"
                canvas.beginForm(name)
                _draw_layout(canvas, layouts[tag])
                canvas.endForm()
                self._names[tag] = name

    def draw(self, tag: Tag, x: float, y: float) -> None:
        """Draw a tag with its lower left corner at x, y."""
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(x, y)
        if tag in self._names:
            canvas.doForm(self._names[tag])
        else:
            _draw_layout(canvas, self._layouts[tag])
        canvas.restoreState()


def _origin(frame: Frame, sheet: Sheet, resolution: int) -> tuple[float, float]:
    """Give a label's lower left corner in points, moved to the nearest printer dot.

    Dots are counted from the paper's upper left corner, where a printer begins.
    """
    grid = dot(resolution)
    down = round(points(frame.bottom) / grid) * grid
    return round(points(frame.x) / grid) * grid, points(sheet.paper_height) - down


def _draw_layout(canvas: Canvas, layout: Layout) -> None:
    if layout.turned:
        canvas.saveState()
        canvas.translate(*layout.turn)
        canvas.rotate(180)
        _draw_layout(canvas, layout.turned)
        canvas.restoreState()
    if layout.hole:
        canvas.setLineWidth(HAIRLINE)
        canvas.circle(layout.hole.x, layout.hole.y, layout.hole.radius)
    if layout.fold:
        fold = layout.fold
        canvas.setLineWidth(HAIRLINE)
        canvas.setDash(2, 2)
        canvas.line(fold.x, fold.y, fold.to_x, fold.to_y)
        canvas.setDash()
    if layout.picture:
        _draw_picture(canvas, layout.picture)
    if layout.square:
        _draw_square(canvas, layout.square)
    for text in layout.texts:
        _draw_text(canvas, text)
    for frame in layout.frames:
        _draw_frame(canvas, frame)
    if layout.bars:
        _draw_bars(canvas, layout.bars)


def _draw_text(canvas: Canvas, text: PlacedText) -> None:
    draw_text(canvas, text.x, text.y, text.text, text.face, text.size)


def _draw_frame(canvas: Canvas, frame: PlacedFrame) -> None:
    canvas.setLineWidth(FRAME_LINE)
    canvas.roundRect(frame.x, frame.y, frame.width, frame.height, frame.radius)


def _draw_bars(canvas: Canvas, placed: PlacedBars) -> None:
    """Draw all bars as one path, so that no reader of the file rounds each one for itself."""
    path = canvas.beginPath()
    for left, width in placed.bars.edges():
        path.rect(placed.x + left, placed.y, width, placed.height)
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_square(canvas: Canvas, placed: PlacedSquare) -> None:
    """Draw all dark fields as one path, for the same reason as bars."""
    path = canvas.beginPath()
    for x, y, width, height in placed.square.runs():
        path.rect(placed.x + x, placed.y + y, width, height)
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_picture(canvas: Canvas, placed: PlacedPicture) -> None:
    """Draw the studio's mark; the file holds it once, however many tags carry it."""
    canvas.drawImage(
        ImageReader(BytesIO(placed.picture.data)), placed.x, placed.y, placed.width, placed.height
    )
