"""The typeface of print: Source Sans Pro, embedded in the PDF from its own package.

reportlab prints a character that the font lacks as an empty box and says nothing; here such
characters are told beforehand. Widths and extents are in ems: times the size, they are points.
"""

import unicodedata
from enum import StrEnum
from functools import lru_cache

from font_source_sans_pro import font_files_ttf
from PIL import ImageFont
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

UNITS_PER_EM = 1000


class Face(StrEnum):
    """The weights in use, by the name that reportlab and the package know them by."""

    REGULAR = "SourceSansPro"
    SEMIBOLD = "SourceSansProSemibold"
    BOLD = "SourceSansProBold"


@lru_cache(maxsize=len(Face))
def registered(face: Face) -> TTFont:
    """Give the font of a face, registered with reportlab the first time it is asked for."""
    font = TTFont(str(face), font_files_ttf[face])
    pdfmetrics.registerFont(font)
    return font


def cleaned(text: str) -> str:
    """Give text as it will be printed: composed letters, single spaces, nothing invisible.

    The no-break spaces that stand in a formatted price become plain ones; line breaks too.
    """
    composed = unicodedata.normalize("NFC", text)
    seen = "".join(
        character
        for character in composed
        if character.isspace() or unicodedata.category(character) not in ("Cf", "Cc")
    )
    return " ".join(seen.split())


def missing_glyphs(text: str) -> str:
    """Give each character of a text that can't be printed, once, in the order of the text.

    A combining mark that stays apart from its letter counts too: it would be printed beside it.
    """
    faces = [registered(face).face.charToGlyph for face in Face]
    return "".join(
        dict.fromkeys(
            character
            for character in cleaned(text)
            if unicodedata.combining(character)
            or any(ord(character) not in known for known in faces)
        )
    )


@lru_cache(maxsize=4096)
def width_in_ems(text: str, face: Face) -> float:
    """Give how far a text on one line moves the pen, in ems."""
    return float(registered(face).stringWidth(text, UNITS_PER_EM)) / UNITS_PER_EM


@lru_cache(maxsize=len(Face))
def _drawn(face: Face) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(font_files_ttf[face], UNITS_PER_EM)


@lru_cache(maxsize=4096)
def _extent(character: str, face: Face) -> tuple[float, float]:
    _, top, _, bottom = _drawn(face).getbbox(character, anchor="ls")
    return -top / UNITS_PER_EM, bottom / UNITS_PER_EM


@lru_cache(maxsize=4096)
def ink_above(text: str, face: Face) -> float:
    """Give how far the ink of a text rises above its baseline, in ems."""
    return max((_extent(character, face)[0] for character in text), default=0.0)


@lru_cache(maxsize=4096)
def ink_below(text: str, face: Face) -> float:
    """Give how far the ink of a text goes below its baseline, in ems."""
    return max((_extent(character, face)[1] for character in text), default=0.0)
