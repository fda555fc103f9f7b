"""Printed lists and statements as PDF: a title, what it is about, tables with heads that repeat.

Contents come in as plain words (`Sheet`), written as they should be read; only drawing happens
here. The paper follows the studio's units: US letter for inches, A4 otherwise.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from vendor.house.models import Studio
from vendor.house.typeface import (
    Face,
    Second,
    Span,
    cleaned,
    draw_text,
    missing_glyphs,
    registered,
    spans,
    width_in_ems,
)

MARGIN = 15 * mm
FRAME = 6  # the room that the library leaves around what it sets
FOOT_SIZE = 8.0
INSTEAD = "?"  # for a letter that no typeface has: it would print as an empty box


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
    target = io.BytesIO()
    size = LETTER if studio.units == Studio.Unit.INCH else A4
    document = SimpleDocTemplate(
        target, pagesize=size, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN,
        bottomMargin=MARGIN + 6 * mm, title=sheet.title, author=studio.name, invariant=1,
    )  # fmt: skip
    story: list[Any] = [_paragraph(sheet.title, 17, bold=True)]
    story += [_paragraph(line, 10) for line in sheet.about]
    for block in sheet.blocks:
        story += [Spacer(0, 5 * mm), *_block(block, document.width - 2 * FRAME)]
    story.append(Spacer(0, 5 * mm))
    story += [_paragraph(line, 9) for line in sheet.close]
    foot = printable(sheet.foot or f"{studio.name} · {sheet.title}")
    document.build(story, canvasmaker=lambda *args, **more: _Numbered(*args, foot=foot, **more))
    return target.getvalue()


def printable(text: str) -> str:
    """Return text as one line, with a question mark for every letter that no typeface has."""
    line = cleaned(text)
    lacking = missing_glyphs(line)
    return "".join(INSTEAD if letter in lacking else letter for letter in line)


def _paragraph(text: str, size: float, *, bold: bool = False, number: bool = False) -> Paragraph:
    """Return a text that wraps, each stretch of it in a typeface that has its letters."""
    face = Face.SEMIBOLD if bold else Face.REGULAR
    found = spans(printable(text), face)
    marked = any(span.marked for span in found)
    style = ParagraphStyle(
        f"{size}{bold}{number}{marked}",
        fontName=face,
        fontSize=size,
        leading=size * 1.3,
        alignment=TA_RIGHT if number else TA_LEFT,
        shaping=marked,
    )
    words, before = "", ""
    for span in found:
        # the library sets the marks of a whole word by one typeface
        apart = marked and before[-1:].strip() and span.text[:1].strip()
        words += f" {_tagged(span, size)}" if apart else _tagged(span, size)
        before = span.text
    return Paragraph(words, style)


def _tagged(span: Span, size: float) -> str:
    registered(span.font)
    if not isinstance(span.font, Second):
        return escape(span.text)
    return f'<font name="{span.font}" size="{size * span.scale:.3f}">{escape(span.text)}</font>'


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
    heading = [_paragraph(block.heading, 12, bold=True)] if block.heading else []
    return [*heading, Spacer(0, 1.5 * mm), table]


def _cell(text: str, column: Column, *, bold: bool = False, size: float = 9.5) -> Paragraph:
    return _paragraph(text, size, bold=bold, number=column.number)


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
            said = f"Page {number} of {len(self._pages)}"
            right = float(page["_pagesize"][0]) - MARGIN - FRAME
            left = right - width_in_ems(said, Face.REGULAR) * FOOT_SIZE
            for x, words in ((MARGIN + FRAME, self._foot), (left, said)):
                draw_text(self, x, MARGIN - 3 * mm, words, Face.REGULAR, FOOT_SIZE)
            super().showPage()
        super().save()
