"""A dozen common label sheets, to begin from.

The numbers are of the sheets, not of anyone who makes them: beside each stands the kind of public
source its figures were read in. Sources differ by up to a few millimetres for one nominal size,
and so do real sheets: a test print on plain paper comes before a print on labels.

The corner radii are common practice (sheets with gaps have round corners, those without have
square ones), not read in a source; they only touch the outline of a test print.
"""

from vendor.labels.lengths import inches, mm
from vendor.labels.sheets import PAPERS, Sheet

ROUNDED = mm("1.5")


def _a4(
    label: tuple[str, str],
    grid: tuple[int, int],
    first: tuple[str, str],
    step: tuple[str, str],
    corner_radius: int = 0,
) -> Sheet:
    """Build a sheet on A4 paper from millimetres."""
    (width, height), (left, top), (across, down) = label, first, step
    return Sheet(
        *PAPERS["A4"],
        mm(width),
        mm(height),
        *grid,
        mm(left),
        mm(top),
        mm(across),
        mm(down),
        corner_radius,
    )


def _letter(
    label: tuple[str, str],
    grid: tuple[int, int],
    first: tuple[int, int],
    step: tuple[int, int],
) -> Sheet:
    """Build a sheet on Letter paper from a label in inches and places in micrometres."""
    width, height = label
    return Sheet(*PAPERS["Letter"], inches(width), inches(height), *grid, *first, *step, ROUNDED)


KNOWN_SHEETS: tuple[Sheet, ...] = (
    # a public page of label dimensions, and public package data, agree
    _letter(
        ("2 5/8", "1"), (3, 10), (inches("3/16"), inches("1/2")), (inches("2 3/4"), inches("1"))
    ),
    # public package data
    _letter(("4", "1"), (2, 10), (mm("3.97"), mm("12.7")), (mm("106.36"), mm("25.4"))),
    # public package data
    _letter(("1 3/4", "1/2"), (4, 20), (mm("7.14"), mm("12.7")), (mm("52.39"), mm("12.7"))),
    # public package data
    _a4(("99.1", "38.1"), (2, 7), ("4.65", "15.15"), ("101.6", "38.1"), ROUNDED),
    # a public page of label dimensions, and public package data
    _a4(("63.5", "38.1"), (3, 7), ("7.21", "15.15"), ("66.04", "38.1"), ROUNDED),
    # public package data: the commonest of several entries for this size
    _a4(("70", "37"), (3, 8), ("0", "0"), ("70", "37")),
    # public package data: the same labels, centred on the paper
    _a4(("70", "37"), (3, 8), ("0", "0.5"), ("70", "37")),
    # public package data: a label an eighth of a millimetre higher fills the paper
    _a4(("70", "37.125"), (3, 8), ("0", "0"), ("70", "37.125")),
    # public package data gives tops from 0 to 9 mm for this size; this is the middle, centred
    _a4(("70", "36"), (3, 8), ("0", "4.5"), ("70", "36")),
    # public package data
    _a4(("52.5", "29.7"), (4, 10), ("0", "0"), ("52.5", "29.7")),
    # public package data: with gaps between the columns
    _a4(("38.1", "21.2"), (5, 13), ("4.75", "10.92"), ("40.6", "21.2"), ROUNDED),
    # public package data: without gaps
    _a4(("38.1", "21.2"), (5, 13), ("9.75", "10.7"), ("38.1", "21.2")),
)
