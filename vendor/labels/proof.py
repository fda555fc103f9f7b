"""A test print for plain paper: every label's edge and number, and a line to measure.

Held against a sheet of labels in front of a lamp, it shows how far the print must be nudged; and
the numbers tell at which position a sheet that is begun goes on.
"""

from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from vendor.house.typeface import Face, registered
from vendor.labels.inking import draw_outline
from vendor.labels.lengths import in_mm, mm, points
from vendor.labels.pdf import canvas_for, check_sheet
from vendor.labels.placing import HAIRLINE, Printing
from vendor.labels.sheets import Frame, Sheet

RULES = (mm(100), mm(50), mm(20))
"""How long the line to measure is: the longest that leaves a sixth of the paper's width."""

NUMBER_SHARE = 0.45
"""A number's size as a share of the label's height, up to LARGEST_NUMBER points."""

LARGEST_NUMBER = 18.0
RULE_TEXT = 6.0


def draw_proof(sheet: Sheet, printing: Printing | None = None) -> bytes:
    """Draw one page with the sheet's outlines and numbers where the printer's nudge puts them.

    Refuses a sheet or printer whose numbers are wrong.
    """
    printing = printing or Printing()
    check_sheet(sheet, printing)
    target = BytesIO()
    canvas = canvas_for(sheet, f"Test print, {sheet.name}", target)
    registered(Face.REGULAR)
    for frame in sheet.frames_on_page(1, sheet.per_page, nudge=printing.nudge):
        draw_outline(canvas, frame, sheet)
        _draw_number(canvas, frame, sheet)
    fitting = [rule for rule in RULES if sheet.paper_width >= rule * 6 // 5]
    if fitting:
        _draw_rule(canvas, sheet, fitting[0])
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


def _draw_rule(canvas: Canvas, sheet: Sheet, rule: int) -> None:
    """Draw a line near the foot of the middle row, clear of its numbers, with its length on it."""
    row = sheet.frame((sheet.rows // 2) * sheet.columns + 1)
    left = points((sheet.paper_width - rule) // 2)
    right, height = left + points(rule), points(sheet.paper_height - row.bottom + mm(1))
    tick = points(mm("0.7"))
    canvas.setLineWidth(2 * HAIRLINE)
    canvas.line(left, height, right, height)
    for end in (left, right):
        canvas.line(end, height - tick, end, height + tick)
    canvas.setFont(Face.REGULAR, RULE_TEXT)
    canvas.drawString(
        left + 2 * tick,
        height + tick,
        f"Print at actual size: this line is {in_mm(rule)} mm long."
        if rule == RULES[0]
        else f"{in_mm(rule)} mm",
    )
