"""How much longer or shorter than true a printer prints, and how that is made up for.

Measured on the lines of a test print, and counted from the paper's upper left corner, where a
printer begins. What is made up for is where the labels lie: bars stay whole dots of the printer,
and a tag keeps its size, in the middle of its label.
"""

from dataclasses import dataclass

from vendor.labels.lengths import in_mm
from vendor.labels.sheets import Frame

TRUE = 1_000_000
"""Parts per million of the true length: a printer that keeps it."""

MOST_OFF = 20_000
"""A printer's paper feed errs by less than a hundredth (common practice); beyond two, the print was
fitted to the page."""


@dataclass(frozen=True)
class Scale:
    """What a printer makes of a length across and down, in parts per million of it."""

    across: int = TRUE
    down: int = TRUE

    def faults(self) -> tuple[str, ...]:
        """Say what is wrong with it: more than a printer errs."""
        return tuple(
            f"{in_mm(round(scale // 10, -2))} mm for 100 mm {way} is more than a printer errs: the "
            "print was fitted to the page. Choose “actual size” or 100 % where you "
            "print, print the test page again and measure it anew."
            for scale, way in ((self.across, "across"), (self.down, "down"))
            if abs(scale - TRUE) > MOST_OFF
        )

    def in_file(self, frame: Frame) -> Frame:
        """Give where a label must lie in the file to lie on the paper as it should."""
        left, right = (round(side * TRUE / self.across) for side in (frame.x, frame.right))
        top, bottom = (round(side * TRUE / self.down) for side in (frame.y, frame.bottom))
        return Frame(frame.position, left, top, right - left, bottom - top)


TRUE_SIZE = Scale()
