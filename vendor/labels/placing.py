"""Where everything stands on a label: what drawing draws, and what geometry is checked by.

Points throughout, from the label's lower left corner to the right and up, as in a PDF.
"""

from dataclasses import dataclass

from vendor.house.typeface import Face
from vendor.labels.code128 import RESOLUTIONS, Bars
from vendor.labels.lengths import in_mm, mm, points
from vendor.labels.scale import TRUE_SIZE, Scale
from vendor.labels.sheets import NO_NUDGE, Nudge, Sheet
from vendor.labels.square import Square
from vendor.labels.tags import Picture

HAIRLINE = 0.25

UNPRINTABLE = mm("4.2")
"""The edge of a sheet that most desk printers leave blank (common practice)."""


@dataclass(frozen=True)
class Printing:
    """How the printer at hand prints: its dots to the inch, and the edge it can't reach (µm).

    `nudge` moves everything on the paper, `scale` is what it makes of a length; `outline` draws the
    labels' edges, for a test print.
    """

    resolution: int = 300
    nudge: Nudge = NO_NUDGE
    margin: int = UNPRINTABLE
    outline: bool = False
    scale: Scale = TRUE_SIZE

    def faults(self) -> tuple[str, ...]:
        """Say everything that is wrong with it, one sentence each."""
        found = [*self.nudge.faults(), *self.scale.faults()]
        if self.resolution not in RESOLUTIONS:
            known = ", ".join(str(each) for each in RESOLUTIONS)
            found.append(
                f"A printer of {self.resolution} dots to the inch isn't known here: take the "
                f"nearest of {known} that is in the printer's papers."
            )
        if not 0 <= self.margin <= mm(20):
            found.append(
                f"A blank edge of {in_mm(self.margin)} mm is not from 0 to 20 mm: "
                "measure the edge that the printer leaves blank."
            )
        return tuple(found)


@dataclass(frozen=True)
class Space:
    """The room on each label of a sheet: its size, and the insets that text and bars keep to."""

    width: float
    height: float
    left: float
    bottom: float
    right: float
    top: float
    resolution: int
    label: str

    @property
    def inner_width(self) -> float:
        """The width between the insets."""
        return self.width - self.left - self.right

    @property
    def inner_height(self) -> float:
        """The height between the insets."""
        return self.height - self.top - self.bottom


def space_on(sheet: Sheet, printing: Printing) -> Space:
    """Give the room that every label of a sheet has, so that all its tags look the same.

    Insets keep clear of the label's edge by 6 % of its height and 4 % of its width (at least 0.8
    and 1.2 mm, at most 2 and 3 mm), of round corners, and of the paper's unprintable edge.
    """
    corner = round(sheet.corner_radius * 0.3)  # 1 - 1/sqrt(2): where a square touches the arc
    first, last = (sheet.frame(position, printing.nudge) for position in (1, sheet.per_page))
    down = max(min(sheet.label_height * 6 // 100, mm(2)), mm("0.8"), corner)
    across = max(min(sheet.label_width * 4 // 100, mm(3)), mm("1.2"), corner)
    return Space(
        width=points(sheet.label_width),
        height=points(sheet.label_height),
        left=points(max(across, printing.margin - first.x)),
        top=points(max(down, printing.margin - first.y)),
        right=points(max(across, printing.margin - (sheet.paper_width - last.right))),
        bottom=points(max(down, printing.margin - (sheet.paper_height - last.bottom))),
        resolution=printing.resolution,
        label=sheet.label_size,
    )


@dataclass(frozen=True)
class PlacedText:
    """One line of text: its baseline begins at x, y."""

    part: str
    text: str
    face: Face
    size: float
    x: float
    y: float
    width: float


@dataclass(frozen=True)
class PlacedBars:
    """The bars of the code: the first bar's lower left corner, and how high they are."""

    bars: Bars
    x: float
    y: float
    height: float


@dataclass(frozen=True)
class PlacedSquare:
    """The square of the code: the lower left corner of its fields, the blank not counted."""

    square: Square
    x: float
    y: float


@dataclass(frozen=True)
class PlacedPicture:
    """The studio's mark in a box."""

    picture: Picture
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class PlacedHole:
    """Where a hole is punched: its middle and radius."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class PlacedFold:
    """Where a tag is folded: a dashed line from edge to edge."""

    x: float
    y: float
    to_x: float
    to_y: float


@dataclass(frozen=True)
class PlacedFrame:
    """A thin frame with round corners about a mark."""

    x: float
    y: float
    width: float
    height: float
    radius: float


@dataclass(frozen=True)
class Fault:
    """Why a tag can't be printed: the tag's name, the part and text at fault, and a sentence."""

    tag: str
    part: str
    text: str
    sentence: str


@dataclass(frozen=True)
class Layout:
    """A tag that fits its label. `left_out` names the parts there was no room for.

    `turned` is the face of a folded tag that is printed upside down: its places are from the
    label's upper right corner to the left and down, `turn` says from where exactly (points).
    """

    texts: tuple[PlacedText, ...]
    bars: PlacedBars | None = None
    frames: tuple[PlacedFrame, ...] = ()
    left_out: tuple[str, ...] = ()
    square: PlacedSquare | None = None
    picture: PlacedPicture | None = None
    hole: PlacedHole | None = None
    fold: PlacedFold | None = None
    turned: "Layout | None" = None
    turn: tuple[float, float] = (0.0, 0.0)

    def size_of(self, part: str) -> float:
        """Give the size a part is set at, 0 where it isn't on the tag."""
        return max((text.size for text in self.texts if text.part == part), default=0.0)
