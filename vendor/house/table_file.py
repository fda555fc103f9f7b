"""A CSV or XLSX file from anywhere, as a head and rows of text. No Django, and no meaning yet."""

import csv
import datetime
import io
import warnings
import zipfile
import zlib
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from vendor.house.errors import Refused

MAX_BYTES = 5_000_000
MAX_ROWS = 5_000
MAX_COLUMNS = 60
MAX_CELL = 500
# What a workbook of that many cells may come to when it is unpacked, styles and all.
MAX_UNPACKED = 60_000_000
# What the library raises on a workbook that is damaged, or is none (SyntaxError: bad XML).
_BROKEN = (
    InvalidFileException,
    zipfile.BadZipFile,
    zlib.error,
    KeyError,
    ValueError,
    OSError,
    EOFError,
    SyntaxError,
    IndexError,
)
_SEPARATORS = ",;\t|"


class Unreadable(Refused):
    """The file is no table that can be read."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: its head, and its rows, each as long as the head."""

    head: list[str]
    rows: list[list[str]]


def read_file(name: str, content: bytes) -> Sheet:
    """Return the table in a file; refuses (Unreadable) what is none, or is too large.

    An XLSX file is known by its contents, not by its name; of a workbook the first sheet is read.
    Rows without any text are left out.
    """
    if len(content) > MAX_BYTES:
        raise Unreadable(
            f"“{name}” is larger than {MAX_BYTES // 1_000_000} MB. Nothing was read: export a "
            "shorter stretch of time, or save the one sheet that matters as CSV."
        )
    raw = _workbook(name, content) if content[:2] == b"PK" else _text(content)
    rows = [[_tidy(cell) for cell in row] for row in raw]
    rows = [row for row in rows if any(row)]
    if len(rows) < 2:
        raise Unreadable(
            f"“{name}” has no table in it: a line with the names of the columns, and lines under "
            "it. Nothing was read."
        )
    if len(rows) - 1 > MAX_ROWS or max(len(row) for row in rows) > MAX_COLUMNS:
        raise Unreadable(
            f"“{name}” has more than {MAX_ROWS:,} lines or {MAX_COLUMNS} columns. Nothing was "
            "read: export a shorter stretch of time."
        )
    return _squared(rows)


def _squared(rows: list[list[str]]) -> Sheet:
    """Return the rows as long as the head, whose empty or doubled names get a number."""
    width = max(len(row) for row in rows)
    padded = [row + [""] * (width - len(row)) for row in rows]
    head: list[str] = []
    for index, name in enumerate(padded[0], start=1):
        given = name or f"Column {index}"
        head.append(f"{given} ({index})" if given in head else given)
    return Sheet(head, padded[1:])


def _text(content: bytes) -> list[list[str]]:
    text = _decoded(content)
    first = text.lstrip("\r\n").split("\n", 1)[0]
    try:
        separator = max(_SEPARATORS, key=lambda each: _width(first, each))
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error as error:
        raise Unreadable(
            "This file can't be read as a table of text. Nothing was read: save it as CSV or "
            "XLSX and try again."
        ) from error


def _width(line: str, separator: str) -> int:
    """Return how many cells a line has with this separator."""
    return len(next(csv.reader([line], delimiter=separator), []))


def _decoded(content: bytes) -> str:
    """Return text in UTF-8 or UTF-16 (by its mark), else in the old Western alphabet."""
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _workbook(name: str, content: bytes) -> list[list[str]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            # Python's reader gives no more than a part says of itself, so its word will do.
            unpacked = sum(part.file_size for part in packed.infolist())
        if unpacked > MAX_UNPACKED:
            raise Unreadable(
                f"“{name}” unpacks to more than {MAX_UNPACKED // 1_000_000} MB. Nothing was "
                "read: save the one sheet that matters as CSV."
            )
        with warnings.catch_warnings():
            # A workbook without a style of its own is no reason to warn the potter.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            sheet = book.worksheets[0]
            rows = []
            for row in sheet.iter_rows(values_only=True):
                rows.append([_said(value) for value in row[: MAX_COLUMNS + 1]])
                if len(rows) > MAX_ROWS + 1:
                    break
            book.close()
    except _BROKEN as error:
        raise Unreadable(
            f"“{name}” can't be opened as a workbook. Nothing was read: save it as XLSX or CSV "
            "and try again."
        ) from error
    return rows


def _said(value: Any) -> str:
    """Return a cell as text: days as 2026-03-05, with a time where one stands; 5.5 for numbers."""
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        midnight = value.time() == datetime.time()
        return value.date().isoformat() if midnight else value.isoformat(" ", "seconds")
    if isinstance(value, float):
        return f"{Decimal(repr(value)).normalize():f}"
    return str(value)


def _tidy(cell: str) -> str:
    """Return a cell without spaces around it, control characters, and absurd length."""
    kept = "".join(char if char.isprintable() else " " for char in cell)
    return " ".join(kept.split())[:MAX_CELL]
