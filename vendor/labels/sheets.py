"""Sheets of labels: the size of the paper, the size of the labels, and where they lie on it.

Plain values in micrometres, measured from the paper's top-left corner to the right and down, as a
ruler is laid on the sheet. It draws nothing and keeps nothing. Sheets are named by their
dimensions and number only. Sheets of one nominal size differ from each other by millimetres, so
the numbers are the user's to correct, and a nudge moves a whole print on the paper.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from vendor.house.errors import Refused
from vendor.labels.lengths import in_inches, in_mm, inches, mm

PAPERS = {
    "A4": (mm(210), mm(297)),
    "Letter": (inches("8 1/2"), inches("11")),
}
LARGEST_PAPER = mm(1000)
MOST_LABELS = 1_000
LARGEST_NUDGE = mm(10)


class SheetRefused(Refused):
    """A sheet, a start position or a nudge that can't be printed."""


@dataclass(frozen=True)
class Nudge:
    """How far a print is moved on the paper, in micrometres to the right and down."""

    right: int = 0
    down: int = 0

    def faults(self) -> tuple[str, ...]:
        """Say what is wrong with the nudge."""
        return tuple(
            f"A nudge of {in_mm(length)} mm {way} is more than {in_mm(LARGEST_NUDGE)} mm: "
            "measure the sheet again and correct its numbers instead."
            for length, way in ((self.right, "across"), (self.down, "down"))
            if abs(length) > LARGEST_NUDGE
        )


NO_NUDGE = Nudge()


@dataclass(frozen=True)
class Frame:
    """The outline of one label on its page: micrometres from the paper's top-left corner."""

    position: int
    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """How far the label's right edge is from the paper's left edge."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """How far the label's lower edge is from the paper's upper edge."""
        return self.y + self.height


@dataclass(frozen=True)
class Sheet:
    """One kind of label sheet, in micrometres.

    `left` and `top` are where the first label begins; `step_across` and `step_down` lead from the
    edge of one label to the same edge of the next, the gap included. A `corner_radius` of 0 is a
    square corner. Labels count from 1 in reading order.
    """

    paper_width: int
    paper_height: int
    label_width: int
    label_height: int
    columns: int
    rows: int
    left: int
    top: int
    step_across: int
    step_down: int
    corner_radius: int = 0

    @classmethod
    def single(cls, width: int, height: int, corner_radius: int = 0) -> "Sheet":
        """Give the sheet of a label printer's roll: each page is one label."""
        return cls(width, height, width, height, 1, 1, 0, 0, width, height, corner_radius)

    @property
    def per_page(self) -> int:
        """How many labels are on a sheet."""
        return self.columns * self.rows

    @property
    def paper(self) -> str:
        """The paper's name, or its size where it has none."""
        for name, size in PAPERS.items():
            if size == (self.paper_width, self.paper_height):
                return name
        return f"{in_mm(self.paper_width)} × {in_mm(self.paper_height)} mm"

    @property
    def label_size(self) -> str:
        """The label's size, in inches where it was made in inches: "2 5/8 × 1 in"."""
        wide, high = in_inches(self.label_width), in_inches(self.label_height)
        if self.paper == "Letter" and wide and high:
            return f"{wide} × {high} in"
        return f"{in_mm(self.label_width)} × {in_mm(self.label_height)} mm"

    @property
    def name(self) -> str:
        """The sheet's name, made from its numbers: "30 on Letter, 2 5/8 × 1 in"."""
        if self == Sheet.single(self.label_width, self.label_height, self.corner_radius):
            return f"One at a time, {self.label_size}"
        return f"{self.per_page} on {self.paper}, {self.label_size}"

    @property
    def gap_across(self) -> int:
        """The gap between two columns, 0 where there is one column."""
        return self.step_across - self.label_width if self.columns > 1 else 0

    @property
    def gap_down(self) -> int:
        """The gap between two rows, 0 where there is one row."""
        return self.step_down - self.label_height if self.rows > 1 else 0

    @property
    def spacing(self) -> str:
        """Say how the labels stand to each other and to the paper, for telling sheets apart."""
        gaps = [
            f"{in_mm(gap)} mm between {what}"
            for gap, what in ((self.gap_across, "columns"), (self.gap_down, "rows"))
            if gap
        ]
        margins = f"first label {in_mm(self.left)} mm from the left and {in_mm(self.top)} mm down"
        return f"{' and '.join(gaps) or 'no gaps'}, {margins}"

    def faults(self) -> tuple[str, ...]:
        """Say everything that is wrong with the sheet, one sentence each."""
        return (
            *self._size_faults(),
            *self._overlap_faults(),
            *self._edge_faults(),
            *self._corner_faults(),
        )

    def _size_faults(self) -> Iterable[str]:
        for what, width, height in (
            ("paper", self.paper_width, self.paper_height),
            ("label", self.label_width, self.label_height),
        ):
            if width <= 0 or height <= 0:
                yield (
                    f"The {what} is {in_mm(width)} × {in_mm(height)} mm: "
                    "both sides must be more than 0."
                )
        if max(self.paper_width, self.paper_height) > LARGEST_PAPER:
            yield f"The paper is longer than {in_mm(LARGEST_PAPER)} mm: check the unit."
        if self.columns < 1 or self.rows < 1:
            yield (
                f"{self.columns} columns by {self.rows} rows make no labels: "
                "a sheet needs at least 1 of each."
            )
        elif self.per_page > MOST_LABELS:
            yield (
                f"{self.columns} columns by {self.rows} rows make {self.per_page:,} labels on one "
                f"sheet: the most that can be laid out is {MOST_LABELS:,}."
            )

    def _overlap_faults(self) -> Iterable[str]:
        for count, step, size, what, side in (
            (self.columns, self.step_across, self.label_width, "columns", "wide"),
            (self.rows, self.step_down, self.label_height, "rows", "high"),
        ):
            if count > 1 and step < size:
                yield (
                    f"The {what} overlap by {in_mm(size - step)} mm: a label is {in_mm(size)} mm "
                    f"{side} and the next one begins {in_mm(step)} mm on."
                )

    def _edge_faults(self) -> Iterable[str]:
        for over, edge in (
            (-self.left, "left"),
            (-self.top, "top"),
            (self._far_right() - self.paper_width, "right"),
            (self._far_down() - self.paper_height, "bottom"),
        ):
            if over > 0:
                yield f"The labels reach {in_mm(over)} mm over the {edge} edge of the paper."

    def _corner_faults(self) -> Iterable[str]:
        most = min(self.label_width, self.label_height) / 2
        if self.corner_radius < 0:
            yield "The corner radius is less than 0: use 0 for square corners."
        elif self.corner_radius > most > 0:
            yield (
                f"The corner radius of {in_mm(self.corner_radius)} mm is more than half of the "
                "label's shorter side."
            )

    def _far_right(self) -> int:
        return self.left + max(self.columns - 1, 0) * self.step_across + self.label_width

    def _far_down(self) -> int:
        return self.top + max(self.rows - 1, 0) * self.step_down + self.label_height

    def frame(self, position: int, nudge: Nudge = NO_NUDGE) -> Frame:
        """Give the outline of the label at a position, counted from 1 in reading order."""
        row, column = divmod(position - 1, self.columns)
        return Frame(
            position=position,
            x=self.left + column * self.step_across + nudge.right,
            y=self.top + row * self.step_down + nudge.down,
            width=self.label_width,
            height=self.label_height,
        )

    def pages_for(self, count: int, start: int = 1) -> int:
        """Give the number of sheets that `count` labels need when the first goes to `start`."""
        self._check_start(start)
        return -(-(start - 1 + count) // self.per_page) if count > 0 else 0

    def frames_on_page(
        self, page: int, count: int, start: int = 1, nudge: Nudge = NO_NUDGE
    ) -> tuple[Frame, ...]:
        """Give the outlines used on a page (from 1) by `count` labels, the first at `start`.

        Positions before `start` are already used up on the first sheet only. A page past the last
        has no frames. Refuses a start position that isn't on the sheet.
        """
        self._check_start(start)
        before = (page - 1) * self.per_page
        first = start if page == 1 else 1
        last = min(self.per_page, start - 1 + count - before)
        return tuple(self.frame(position, nudge) for position in range(first, last + 1))

    def _check_start(self, start: int) -> None:
        if not 1 <= start <= self.per_page:
            raise SheetRefused(
                f"There is no label {start} on this sheet: it has {self.per_page}. Nothing was "
                f"printed. Choose a first label from 1 to {self.per_page}."
            )


def names_apart(sheets: Iterable[Sheet]) -> dict[Sheet, str]:
    """Name sheets so that no two read the same: where names are shared, the spacing is added."""
    distinct = tuple(dict.fromkeys(sheets))
    shared = Counter(sheet.name for sheet in distinct)
    return {
        sheet: f"{sheet.name} ({sheet.spacing})" if shared[sheet.name] > 1 else sheet.name
        for sheet in distinct
    }
