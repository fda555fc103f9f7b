"""Puts what was laid out on a page: texts, bars, squares, marks, holes, folds and labels' edges."""

from io import BytesIO

from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from vendor.house.typeface import draw_text
from vendor.labels.lengths import points
from vendor.labels.placing import (
    HAIRLINE,
    Layout,
    PlacedBars,
    PlacedFrame,
    PlacedPicture,
    PlacedSquare,
    PlacedText,
)
from vendor.labels.sheets import Frame, Sheet

FRAME_LINE = 0.5


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


def draw_layout(canvas: Canvas, layout: Layout) -> None:
    """Draw a tag with its label's lower left corner where the canvas's own corner is."""
    if layout.turned:
        canvas.saveState()
        canvas.translate(*layout.turn)
        canvas.rotate(180)
        draw_layout(canvas, layout.turned)
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
