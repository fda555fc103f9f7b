"""A test print for plain paper: every label's edge and number, and two rulers to measure.

Held against a sheet of labels in front of a lamp, it shows how far the print must be nudged; the
rulers, across and down, tell whether the printer keeps lengths; and the numbers tell at which
position a sheet that is begun goes on.
"""

from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from vendor.house.typeface import Face
from vendor.labels.inking import draw_outline
from vendor.labels.lengths import in_inches, in_mm, inches, mm, points
from vendor.labels.pdf import canvas_for, check_sheet
from vendor.labels.placing import HAIRLINE, UNPRINTABLE, Printing
from vendor.labels.scale import TRUE, TRUE_SIZE, Scale
from vendor.labels.sheets import Frame, Sheet

INCH_RULE, MM_RULE = inches("4"), mm(100)
"""What is measured on a printer."""

RULES = ((INCH_RULE, MM_RULE), (inches("2"), mm(50)), (inches("1"), mm(20)))
"""How long a ruler is, in inches and, to a mark of its own, in millimetres."""

NUMBER_SHARE = 0.45
"""A number's size as a share of the label's height, up to LARGEST_NUMBER points."""

LARGEST_NUMBER = 18.0
RULE_TEXT = 6.0


def draw_proof(sheet: Sheet, printing: Printing | None = None) -> bytes:
    """Draw one page with the sheet's outlines and numbers where nudge and scale put them.

    Refuses a sheet or printer whose numbers are wrong.
    """
    printing = printing or Printing()
    check_sheet(sheet, printing)
    target = BytesIO()
    canvas = canvas_for(sheet, f"Test print, {sheet.name}", target)
    for wanted in sheet.frames_on_page(1, sheet.per_page, nudge=printing.nudge):
        frame = printing.scale.in_file(wanted)
        draw_outline(canvas, frame, sheet)
        _draw_number(canvas, frame, sheet)
    _draw_rules(canvas, sheet, printing.scale)
    canvas.showPage()
    canvas.save()
    return target.getvalue()


def _draw_number(canvas: Canvas, frame: Frame, sheet: Sheet) -> None:
    """Put a label's number in its upper half, and a small cross in its middle."""
    middle = points(frame.x + frame.width // 2)
    height = points(sheet.paper_height - frame.y - frame.height // 2)
    arm = points(mm(1))
    canvas.line(middle - arm, height, middle + arm, height)
    canvas.line(middle, height - arm, middle, height + arm)
    size = min(LARGEST_NUMBER, NUMBER_SHARE * points(frame.height) / 2)
    canvas.setFont(Face.REGULAR, size)
    canvas.drawCentredString(
        middle, height + points(frame.height) / 4 - size / 4, str(frame.position)
    )


def _draw_rules(canvas: Canvas, sheet: Sheet, scale: Scale) -> None:
    """Draw a ruler across, near the foot of the middle row, and one down, beside the first column.

    Both are of their true length in the file, whatever is known of the printer, and clear of the
    labels' numbers.
    """
    across = _rule_for(sheet.paper_width)
    if across:
        row = sheet.frame((sheet.rows // 2) * sheet.columns + 1)
        left = points((sheet.paper_width - across[0]) // 2)
        canvas.saveState()
        canvas.translate(left, points(sheet.paper_height - row.bottom + mm("1.2")))
        _draw_rule(canvas, *across, f"Print at actual size; measure this line. {_said(scale)}")
        canvas.restoreState()
    down = _rule_for(sheet.paper_height)
    if down:
        canvas.saveState()
        beside = points(max(sheet.left, UNPRINTABLE) + mm("2.4"))
        canvas.translate(beside, points((sheet.paper_height + down[0]) // 2))
        canvas.rotate(-90)
        _draw_rule(canvas, *down, "Measure this line too.")
        canvas.restoreState()


def _rule_for(side: int) -> tuple[int, int] | None:
    """Give the longest ruler, in inches and in millimetres, that leaves a sixth of a side."""
    return next((rule for rule in RULES if side >= rule[0] * 6 // 5), None)


def _said(scale: Scale) -> str:
    """Say what is known of the printer and isn't in the rulers."""
    if scale == TRUE_SIZE:
        return ""
    known = (in_mm(round(MM_RULE * part / TRUE)) for part in (scale.across, scale.down))
    return "Not made up for here: 100 mm became {} across, {} down.".format(*known)


def _draw_rule(canvas: Canvas, whole: int, marked: int, words: str) -> None:
    """Draw a ruler from the origin to the right: inches below the line, millimetres above it."""
    canvas.setLineWidth(2 * HAIRLINE)
    canvas.line(0, 0, points(whole), 0)
    long, short = points(mm("1.8")), points(mm("0.8"))
    for at in range(0, marked + 1, mm(10)):
        canvas.line(points(at), 0, points(at), long if at in (0, marked) else short)
    for at in range(0, whole + 1, inches("1")):
        canvas.line(points(at), 0, points(at), -short)
    canvas.setFont(Face.REGULAR, RULE_TEXT)
    inch = f"{in_inches(whole)} in"
    canvas.drawString(points(whole) + short, -RULE_TEXT / 3, inch)
    canvas.drawRightString(points(marked) - short, short + 1, f"{in_mm(marked)} mm")
    canvas.drawString(short, short + 1, words)
