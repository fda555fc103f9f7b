"""Reads one field of a JSON document at a time, strictly: the type, the bounds, nothing guessed.

Each takes the value and where it stands, and raises `Malformed` that says both.
"""

import datetime
import re
import unicodedata
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

Part = TypeVar("Part")
EARLIEST = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
LATEST = datetime.datetime(2100, 1, 1, tzinfo=datetime.UTC)


class Malformed(ValueError):  # noqa: N818 - named as it reads
    """Not a sale document: says which field, and what it should be."""

    def __init__(self, field: str, wanted: str) -> None:
        super().__init__(f"{field}: {wanted}")
        self.field = field


def moment(raw: object, at: str) -> datetime.datetime:
    """Return an ISO 8601 moment with its zone, in UTC; `Malformed` for anything else."""
    wanted = "should be a moment with its zone, like 2026-12-05T16:20:31Z"
    # Python takes any sign between day and time, also one that no database keeps.
    if not isinstance(raw, str) or not re.fullmatch(r"[0-9T:.+Z-]{1,40}", raw):
        raise Malformed(at, wanted)
    try:
        found = datetime.datetime.fromisoformat(raw)
        found = found.astimezone(datetime.UTC) if found.tzinfo else found
    except (ValueError, OverflowError):
        raise Malformed(at, wanted) from None
    if found.tzinfo is None or not EARLIEST <= found < LATEST:
        raise Malformed(at, wanted)
    return found


def fields(
    raw: object, at: str, required: frozenset[str], optional: frozenset[str] = frozenset()
) -> Mapping[str, Any]:
    """Return an object that has all the required fields and none that is not named."""
    if not isinstance(raw, dict):
        raise Malformed(at, "should be an object with fields")
    missing = sorted(required - raw.keys())
    if missing:
        raise Malformed(at, f"should have {', '.join(missing)}")
    unknown = raw.keys() - required - optional
    if unknown:
        raise Malformed(at, f"should not have {len(unknown)} fields that are none of it")
    return raw


def several(
    raw: object, at: str, least: int, most: int, each: Callable[[object, str], Part]
) -> list[Part]:
    """Return each part of a list of `least` to `most`, read by `each(part, where)`."""
    if not isinstance(raw, list) or not least <= len(raw) <= most:
        raise Malformed(at, f"should be a list of {least} to {most}")
    return [each(item, f"{at}[{index}]") for index, item in enumerate(raw)]


def whole(raw: object, at: str, least: int, most: int) -> int:
    """Return a whole number within bounds (true is no number)."""
    if not isinstance(raw, int) or isinstance(raw, bool) or not least <= raw <= most:
        raise Malformed(at, f"should be a whole number from {least} to {most}")
    return raw


def flag(raw: object, at: str) -> bool:
    """Return true or false."""
    if not isinstance(raw, bool):
        raise Malformed(at, "should be true or false")
    return raw


def one_of(raw: object, at: str, choices: list[str]) -> str:
    """Return a text that is one of the choices."""
    if not isinstance(raw, str) or raw not in choices:
        raise Malformed(at, f"should be one of {', '.join(choices)}")
    return str(raw)


def text(raw: object, at: str, most: int, *, least: int = 0) -> str:
    """Return one line of `least` to `most` letters, without space around it."""
    if not isinstance(raw, str) or not least <= len(raw.strip()) or len(raw) > most:
        raise Malformed(at, f"should be a text of {least} to {most} letters")
    # Lone surrogates can't be stored; control characters have no place in one line.
    if any(unicodedata.category(char) in ("Cc", "Cs") for char in raw):
        raise Malformed(at, "should be one line of plain letters")
    return raw.strip()
