"""Spreadsheets out: rows as CSV or XLSX, with text that no spreadsheet program can run.

A cell of text that begins like a formula is led by an apostrophe; numbers and days stay numbers
and days, so that a refund of −5.00 still adds up. `plain_text` takes the apostrophe off again, so
that what was exported can be imported unchanged.
"""

import datetime
import re
from collections.abc import Iterable, Sequence
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.functional import Promise
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from tablib import Dataset

CSV, XLSX = "csv", "xlsx"
FORMATS = {
    CSV: "text/csv; charset=utf-8",
    XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
# What may begin a formula: OWASP's page on CSV injection lists = + - @ tab, CR and LF; its
# verification standard (ASVS 5.0, 1.2.10) adds NUL. Apostrophes before it count too, or a text
# that had one already would lose it on the way back.
_LIKE_A_FORMULA = re.compile(r"'*[=+\-@\t\r\n\0]")
_BYTE_ORDER_MARK = "\ufeff"  # without it some programs take the file for an 8-bit alphabet


def harmless(text: str) -> str:
    """Return a text that begins like a formula with an apostrophe before it."""
    return f"'{text}" if _LIKE_A_FORMULA.match(text) else text


def plain_text(text: str) -> str:
    """Return a text as it was before `harmless`: takes off the one apostrophe it added."""
    return text[1:] if text.startswith("'") and _LIKE_A_FORMULA.match(text) else text


def as_csv(header: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """Return rows as CSV (RFC 4180) in UTF-8."""
    text: str = _dataset(header, rows, "").export(CSV)
    return (_BYTE_ORDER_MARK + text).encode()


def as_xlsx(header: Sequence[str], rows: Iterable[Sequence[Any]], title: str) -> bytes:
    """Return rows as a workbook of one sheet, its name the title."""
    content: bytes = _dataset(header, rows, title or "Sheet").export(XLSX, escape=True)
    return content


def response(
    kind: str, name: str, header: Sequence[str], rows: Iterable[Sequence[Any]]
) -> HttpResponse:
    """Return a file to keep: `kind` is one of FORMATS, `name` the file's name without its end."""
    content = as_csv(header, rows) if kind == CSV else as_xlsx(header, rows, name)
    answer = HttpResponse(content, content_type=FORMATS[kind])
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    answer["Cache-Control"] = "no-store"
    return answer


def _dataset(header: Sequence[str], rows: Iterable[Sequence[Any]], title: str) -> Dataset:
    return Dataset(
        *[[_cell(value) for value in row] for row in rows],
        headers=[_cell(str(name)) for name in header],
        title=title,
    )


def _cell(value: Any) -> Any:
    """Return a value as a spreadsheet can hold it."""
    if isinstance(value, (str, Promise)):
        # Control characters are no part of XML, so a workbook can't hold them.
        return ILLEGAL_CHARACTERS_RE.sub("", harmless(str(value)))
    if isinstance(value, datetime.datetime) and timezone.is_aware(value):
        return timezone.localtime(value).replace(tzinfo=None, microsecond=0)
    return value
