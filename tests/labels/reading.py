"""Reads printed sheets back: as pictures, through a decoder, and as the objects of a PDF."""

import ctypes
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import zxingcpp
from PIL import Image, ImageFilter

from vendor.house.typeface import ink_above, ink_below
from vendor.labels.layouts import lay_out
from vendor.labels.placing import Layout, PlacedText, Printing, space_on
from vendor.labels.sheets import Frame, Sheet
from vendor.labels.tags import RewardText, Tag, TagText

STUDIO = "Tansy Weir Pottery"

MM_PER_POINT = 25.4 / 72

ANGLES = (-2.0, 1.0, 2.0, -1.0)
"""By how many degrees labels are held askew, in turn."""

TAGS = (
    TagText("Tumbler", "$48.00", "TUM-CEL", "celadon", studio=STUDIO),
    TagText("Lidded casserole", "$240.00", "CAS-TEN", "tenmoku", "Second", studio=STUDIO),
    TagText("Candlestick, pair", "$64.00", "CND-MAT", "matt white", "", "Not for food use", STUDIO),
    TagText("Thimble jar", "€18.50", "THJ-2", "shino", "Second", "Not for food use", STUDIO),
    RewardText("Berry bowl", "Inés", "P-0042", "ash", studio=STUDIO),
    TagText("Salt pig", "£36", "84120"),
)


@dataclass(frozen=True)
class Box:
    """A rectangle, from its lower left corner to its upper right one."""

    left: float
    bottom: float
    right: float
    top: float

    def overlaps(self, other: "Box", slack: float = 0.01) -> bool:
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.bottom < other.top - slack
            and other.bottom < self.top - slack
        )

    def within(self, other: "Box", slack: float = 0.01) -> bool:
        return (
            self.left >= other.left - slack
            and self.right <= other.right + slack
            and self.bottom >= other.bottom - slack
            and self.top <= other.top + slack
        )


def printed(tags: Iterable[Tag], sheet: Sheet, printing: Printing) -> dict[Tag, Layout]:
    """Lay tags out that are known to fit."""
    found = {tag: lay_out(tag, space_on(sheet, printing)) for tag in tags}
    return {tag: layout for tag, layout in found.items() if isinstance(layout, Layout)}


def ink(text: PlacedText) -> Box:
    """Give the room that a line's ink takes."""
    return Box(
        text.x,
        text.y - ink_below(text.text, text.face) * text.size,
        text.x + text.width,
        text.y + ink_above(text.text, text.face) * text.size,
    )


def turned(box: Box, turn: tuple[float, float]) -> Box:
    """Give a box of the face that is printed upside down, as it lies on the label."""
    right, top = turn
    return Box(right - box.right, top - box.top, right - box.left, top - box.bottom)


def pieces(layout: Layout) -> list[Box]:
    """Give the room that each thing on a tag takes; the bars with their blank at both sides.

    The symbol comes last.
    """
    boxes = []
    if layout.turned:
        boxes += [turned(box, layout.turn) for box in pieces(layout.turned)]
    if layout.hole:
        hole = layout.hole
        boxes.append(
            Box(hole.x - hole.radius, hole.y - hole.radius, hole.x + hole.radius,
                hole.y + hole.radius)
        )  # fmt: skip
    if layout.picture:
        mark = layout.picture
        boxes.append(Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height))
    if layout.square:
        square, blank = layout.square, layout.square.square.quiet
        left, low, side = square.x - blank, square.y - blank, square.square.full_side
        boxes.append(Box(left, low, left + side, low + side))
    boxes += [ink(text) for text in layout.texts if text.part != "mark"]
    boxes += [Box(f.x, f.y, f.x + f.width, f.y + f.height) for f in layout.frames]
    if layout.bars:
        bars = layout.bars
        left = bars.x - bars.bars.quiet
        boxes.append(
            Box(left, bars.y, left + bars.bars.full_length, bars.y + bars.height),
        )
    return boxes


def picture(data: bytes, page: int, dpi: int) -> Image.Image:
    """Render one page (from 1) in grey, a pixel for each printer dot.

    pdfium's own rendering stretches the page to a whole number of pixels, and the dots with it; so
    the exact scale is given as a matrix.
    """
    scale = dpi / 72
    with pypdfium2.PdfDocument(data) as document:
        sheet = document[page - 1]
        width, height = (math.ceil(side * scale) for side in sheet.get_size())
        bitmap = pypdfium2.PdfBitmap.new_native(width, height, pdfium.FPDFBitmap_Gray)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
        pdfium.FPDF_RenderPageBitmapWithMatrix(
            bitmap,
            sheet,
            pdfium.FS_MATRIX(scale, 0, 0, scale, 0, 0),
            pdfium.FS_RECTF(0, 0, width, height),
            pdfium.FPDF_GRAYSCALE,
        )
        return bitmap.to_pil().copy()


def cut_out(image: Image.Image, frame: Frame, dpi: int) -> Image.Image:
    """Cut one label out of a page's picture."""
    edges = (frame.x, frame.y, frame.right, frame.bottom)
    return image.crop(tuple(round(edge / 25_400 * dpi) for edge in edges))


FORMATS = {
    "code128": zxingcpp.BarcodeFormat.Code128,
    "qr": zxingcpp.BarcodeFormat.QRCode,
    "number": zxingcpp.BarcodeFormat.EAN13,
}


def decode(image: Image.Image, way: str = "code128") -> str | None:
    """Read the symbol on a picture with zxing-cpp; None if there is none that can be read."""
    found = zxingcpp.read_barcode(np.asarray(image.convert("L")), formats=FORMATS[way])
    return found.text if found else None


def askew(label: Image.Image, angle: float) -> Image.Image:
    """Blur a label's picture by a third of a dot or more, and turn it by an angle in degrees."""
    soft = label.filter(ImageFilter.GaussianBlur(1.5))
    return soft.rotate(angle, Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def outlines(data: bytes, page: int) -> list[Box]:
    """Give the stroked paths of a page itself, in millimetres from its lower left corner."""
    boxes = []
    with pypdfium2.PdfDocument(data) as document:
        for item in document[page - 1].get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=1):
            fill, stroke = ctypes.c_int(), ctypes.c_int()
            pdfium.FPDFPath_GetDrawMode(item.raw, fill, stroke)
            if stroke.value and not fill.value:
                boxes.append(Box(*(edge * MM_PER_POINT for edge in item.get_bounds())))
    return boxes


def letters(data: bytes, page: int) -> Iterator[tuple[str, Box]]:
    """Every printed character of a page with its box, in millimetres from the lower left corner."""
    with pypdfium2.PdfDocument(data) as document:
        text = document[page - 1].get_textpage()
        for index in range(text.count_chars()):
            character = text.get_text_range(index, 1)
            if character.strip():
                yield character, Box(*(edge * MM_PER_POINT for edge in text.get_charbox(index)))


def words(data: bytes) -> str:
    """All text of a file as pdfium reads it."""
    with pypdfium2.PdfDocument(data) as document:
        return "\n".join(page.get_textpage().get_text_bounded() for page in document)
