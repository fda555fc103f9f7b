"""Draws tags on sheets of labels as a PDF that prints at its true size.

The same tags on the same sheet give the same bytes, and a file either holds every tag or isn't
made at all. Memory doesn't grow with the tags: of each there stay two bytes, and what `paging`
keeps of a page.
"""

from array import array
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from typing import IO

from reportlab.pdfgen.canvas import Canvas

from vendor.house.errors import Refused
from vendor.house.typeface import Face, registered
from vendor.labels.code128 import dot
from vendor.labels.inking import draw_layout, draw_outline
from vendor.labels.layouts import PARTS, lay_out
from vendor.labels.lengths import points
from vendor.labels.paging import PageByPage
from vendor.labels.placing import (
    Fault,
    Layout,
    Printing,
    Space,
    space_on,
)
from vendor.labels.sheets import Frame, Sheet
from vendor.labels.tags import Tag

MOST_TAGS = 10_000
"""The most tags in one file. More would be a stack of paper that no one can stop in time when the
first sheet is crooked, and a file that printers are slow to take."""

TOLD = 5
"""How many faults are told in one refusal."""


class TagsRefused(Refused):
    """Tags that weren't printed; `faults` says why, tag by tag."""

    def __init__(self, message: str, faults: Sequence[Fault] = ()) -> None:
        super().__init__(message)
        self.faults = tuple(faults)


@dataclass(frozen=True)
class Checked:
    """Tags that were looked over before printing: what stands in the way, and what is left out.

    `fitting` holds each distinct tag that fits; `notes` are sentences for the potter.
    """

    fitting: tuple[Tag, ...]
    faults: tuple[Fault, ...]
    notes: tuple[str, ...]


def check_tags(tags: Iterable[Tag], sheet: Sheet, printing: Printing) -> Checked:
    """Lay out each distinct tag on a sheet, and give every fault and every note."""
    space = space_on(sheet, printing)
    without: Counter[str] = Counter()
    fitting: list[Tag] = []
    faults: list[Fault] = []
    for tag, count in Counter(tags).items():
        done = lay_out(tag, space)
        if not isinstance(done, Layout):
            faults += done
            continue
        fitting.append(tag)
        without.update(dict.fromkeys(done.left_out, count))
    return Checked(tuple(fitting), tuple(faults), _notes(without, space.label))


def _notes(without: Mapping[str, int], label: str) -> tuple[str, ...]:
    """Say how many tags had no room for what may be left out."""
    return tuple(
        f"The {PARTS[part]} is left out of {count:,} tag{'s' if count != 1 else ''}: "
        f"there is no room for it on a {label} label."
        for part, count in sorted(without.items())
    )


def draw_tags(
    tags: Iterable[Tag], sheet: Sheet, printing: Printing | None = None, *, start: int = 1
) -> bytes:
    """Return as a PDF what `write_tags` writes."""
    target = BytesIO()
    write_tags(tags, sheet, printing, target=target, start=start)
    return target.getvalue()


def write_tags(
    tags: Iterable[Tag],
    sheet: Sheet,
    printing: Printing | None = None,
    *,
    target: IO[bytes],
    start: int = 1,
) -> None:
    """Write a PDF of tags one after another on sheets of labels, the first at position `start`.

    Refuses no tags, too many tags, a sheet or printer whose numbers are wrong, and tags that don't
    fit their labels; then what is in the target is no PDF and must be thrown away.
    """
    printing = printing or Printing()
    order, distinct = _told_apart(islice(tags, MOST_TAGS + 1))
    refuse_count(len(order))
    check_sheet(sheet, printing)
    pages = sheet.pages_for(len(order), start)
    canvas = canvas_for(sheet, f"Tags, {sheet.name}", target)
    PageByPage.to(target, canvas)
    forms = _Forms(canvas, distinct, Counter(order), space_on(sheet, printing))
    begin = 0
    for page in range(1, pages + 1):
        frames = sheet.frames_on_page(page, len(order), start, printing.nudge)
        numbers = order[begin : begin + len(frames)]
        begin += len(frames)
        if not forms.look_over(numbers):
            continue
        for number, wanted in zip(numbers, frames, strict=True):
            frame = printing.scale.in_file(wanted)
            if printing.outline:
                draw_outline(canvas, frame, sheet)
            forms.put(number, *_origin(frame, sheet, printing.resolution))
        canvas.showPage()
    refuse_faults(forms.faults)
    canvas.save()


def _told_apart(tags: Iterable[Tag]) -> tuple["array[int]", tuple[Tag, ...]]:
    """Return the distinct tags, and for each tag in order which of them it is: two bytes a tag."""
    places: dict[Tag, int] = {}
    order = array("H", (places.setdefault(tag, len(places)) for tag in tags))
    return order, tuple(places)


class _Forms:
    """Draws tags by their number; those that come more than once from a form stored once.

    A layout is let go when it is drawn, or when its page is: ten thousand would fill the memory.
    """

    def __init__(
        self, canvas: Canvas, tags: Sequence[Tag], counts: Mapping[int, int], space: Space
    ) -> None:
        self._canvas, self._tags, self._counts, self._space = canvas, tags, counts, space
        self._seen = bytearray(len(tags))
        self._layouts: dict[int, Layout] = {}
        self.faults: list[Fault] = []

    def look_over(self, numbers: Iterable[int]) -> bool:
        """Lay out the tags of a page that weren't seen before, and draw their forms.

        Tells whether the page may be drawn: once there was a fault, nothing more is.
        """
        self._layouts.clear()
        for number in numbers:
            if self._seen[number]:
                continue
            self._seen[number] = True
            done = lay_out(self._tags[number], self._space)
            if not isinstance(done, Layout):
                self.faults += done
            elif self._counts[number] == 1:
                self._layouts[number] = done
            elif not self.faults:
                self._canvas.beginForm(self._name(number))
                draw_layout(self._canvas, done)
                self._canvas.endForm()
        return not self.faults

    def put(self, number: int, x: float, y: float) -> None:
        """Draw a tag of the page with its lower left corner at x, y."""
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(x, y)
        if self._counts[number] == 1:
            draw_layout(canvas, self._layouts[number])
        else:
            canvas.doForm(self._name(number))
        canvas.restoreState()

    def _name(self, number: int) -> str:
        return f"tag{number + 1}"


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


def canvas_for(sheet: Sheet, title: str, target: IO[bytes]) -> Canvas:
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


def _origin(frame: Frame, sheet: Sheet, resolution: int) -> tuple[float, float]:
    """Give a label's lower left corner in points, moved to the nearest printer dot.

    In the middle of a frame that is larger or smaller, to make up for the printer's scale. Dots
    are counted from the paper's upper left corner, where a printer begins.
    """
    grid = dot(resolution)
    across = points(frame.x) + points(frame.width - sheet.label_width) / 2
    down = points(frame.bottom) - points(frame.height - sheet.label_height) / 2
    return round(across / grid) * grid, points(sheet.paper_height) - round(down / grid) * grid
