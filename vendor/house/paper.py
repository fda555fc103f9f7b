"""Printed lists and statements as PDF: a title, what it is about, tables with heads that repeat.

Contents come in as plain words (`Sheet`), written as they should be read; only drawing happens
here. The paper follows the studio's units: US letter for inches, A4 otherwise.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

from font_source_sans_pro import font_files_ttf
from reportlab.lib import colors
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from vendor.house.models import Studio

REGULAR, SEMIBOLD = "SourceSansPro", "SourceSansProSemibold"
MARGIN = 15 * mm
FRAME = 6  # the room that the library leaves around what it sets
INSTEAD = "?"  # for a letter that the typeface lacks: it would print as an empty box


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head, its share of the width, and whether it holds numbers."""

    head: str
    share: float = 1
    number: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """One table: rows of words, and a foot with its totals (empty: none)."""

    heading: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[str]]
    foot: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A document: title, lines that say what it is about, tables, and lines that close it."""

    title: str
    about: Sequence[str]
    blocks: Sequence[Block]
    close: Sequence[str] = ()
    foot: str = ""


def draw(sheet: Sheet, *, studio: Studio) -> bytes:
    """Return the document as a PDF; the same contents give the same bytes."""
    _faces()
    target = io.BytesIO()
    size = LETTER if studio.units == Studio.Unit.INCH else A4
    document = SimpleDocTemplate(
        target, pagesize=size, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN,
        bottomMargin=MARGIN + 6 * mm, title=sheet.title, author=studio.name, invariant=1,
    )  # fmt: skip
    story: list[Any] = [Paragraph(_safe(sheet.title), _style(17, bold=True))]
    story += [Paragraph(_safe(line), _style(10)) for line in sheet.about]
    for block in sheet.blocks:
        story += [Spacer(0, 5 * mm), *_block(block, document.width - 2 * FRAME)]
    story.append(Spacer(0, 5 * mm))
    story += [Paragraph(_safe(line), _style(9)) for line in sheet.close]
    foot = printable(sheet.foot or f"{studio.name} · {sheet.title}")
    document.build(story, canvasmaker=lambda *args, **more: _Numbered(*args, foot=foot, **more))
    return target.getvalue()


def printable(text: str) -> str:
    """Return text with every letter that the typeface lacks shown as a question mark."""
    known = _faces()
    return "".join(letter if ord(letter) in known or letter == "\n" else INSTEAD for letter in text)


@cache
def _faces() -> frozenset[int]:
    """Register the typeface, and return the letters that both of its weights have."""
    fonts = [TTFont(name, font_files_ttf[name]) for name in (REGULAR, SEMIBOLD)]
    for font in fonts:
        pdfmetrics.registerFont(font)
    letters = [frozenset(font.face.charToGlyph) for font in fonts]
    return letters[0] & letters[1]


def _safe(text: str) -> str:
    return escape(printable(text.replace("\xa0", " ")))


def _style(size: float, *, bold: bool = False, number: bool = False) -> ParagraphStyle:
    return ParagraphStyle(
        f"{size}{bold}{number}",
        fontName=SEMIBOLD if bold else REGULAR,
        fontSize=size,
        leading=size * 1.3,
        alignment=TA_RIGHT if number else TA_LEFT,
    )


def _block(block: Block, width: float) -> list[Any]:
    whole = sum(column.share for column in block.columns)
    cells = [[_cell(c.head, c, bold=True, size=8.5) for c in block.columns]]
    cells += [
        [_cell(text, c) for text, c in zip(row, block.columns, strict=True)] for row in block.rows
    ]
    if block.foot:
        cells.append(
            [_cell(text, c, bold=True) for text, c in zip(block.foot, block.columns, strict=True)]
        )
    table = Table(
        cells, colWidths=[width * column.share / whole for column in block.columns], repeatRows=1
    )
    lines: list[Any] = [
        ("LINEBELOW", (0, 0), (-1, 0), 1, colors.black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, colors.grey),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-2, -1), 8),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
    if block.foot:
        lines.append(("LINEABOVE", (0, -1), (-1, -1), 1.5, colors.black))
    table.setStyle(TableStyle(lines))
    heading = [Paragraph(_safe(block.heading), _style(12, bold=True))] if block.heading else []
    return [*heading, Spacer(0, 1.5 * mm), table]


def _cell(text: str, column: Column, *, bold: bool = False, size: float = 9.5) -> Paragraph:
    return Paragraph(_safe(text), _style(size, bold=bold, number=column.number))


class _Numbered(Canvas):
    """A canvas that writes “page 2 of 5” and a foot on every page, once it knows how many."""

    def __init__(self, *args: Any, foot: str, **more: Any) -> None:
        super().__init__(*args, **more)
        self._foot = foot
        self._pages: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """Keep the page until the end."""
        self._pages.append(dict(self.__dict__))
        self._startPage()  # type: ignore[attr-defined]

    def save(self) -> None:
        """Write every page with its number."""
        for number, page in enumerate(self._pages, start=1):
            self.__dict__.update(page)
            self.setFont(REGULAR, 8)
            self.drawString(MARGIN + FRAME, MARGIN - 3 * mm, self._foot)
            right = float(page["_pagesize"][0]) - MARGIN - FRAME
            self.drawRightString(right, MARGIN - 3 * mm, f"Page {number} of {len(self._pages)}")
            super().showPage()
        super().save()
