"""The typefaces of print, embedded in a PDF from their own packages; the one place that knows them.

Texts are set in Source Sans Pro. A word that it has not all letters for is set in Noto Sans, which
has every Latin letter of Unicode's blocks, at the same height of its small letters. A mark that has
no letter composed with it stands where the typeface says that it sits on that letter (HarfBuzz
reads it). What neither has is told by `missing_glyphs`: reportlab would print an empty box and say
nothing. Widths and extents are in ems: times the size, they are points.
"""

import importlib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from io import BytesIO
from itertools import groupby
from pathlib import Path

import uharfbuzz
from font_source_sans_pro import font_files_ttf
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import ShapedStr, TTFont, shapeStr
from reportlab.pdfgen.canvas import Canvas

UNITS_PER_EM = 1000
"""As all faces here are drawn."""

SAME_HEIGHT = 486 / 536
"""By how much Noto Sans is set smaller: the height of an x in Source Sans Pro over its own, both
read from the typefaces."""

REMEMBERED = 1024


class Face(StrEnum):
    """The weights in use, by the name that reportlab and the package know them by."""

    REGULAR = "SourceSansPro"
    SEMIBOLD = "SourceSansProSemibold"
    BOLD = "SourceSansProBold"


class Second(StrEnum):
    """The weights of the second typeface, by the name of the module that holds each."""

    REGULAR = "NotoSans_Regular"
    BOLD = "NotoSans_Bold"


INSTEAD = {Face.REGULAR: Second.REGULAR, Face.SEMIBOLD: Second.BOLD, Face.BOLD: Second.BOLD}
"""The second typeface has no weight between the two."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text in one typeface. `marked`: it has marks that must be set on their letters.

    `width` is in ems of the size that is asked for, not of the size it is set at.
    """

    text: str
    font: Face | Second
    marked: bool

    @property
    def scale(self) -> float:
        """Its size as a share of the size that is asked for."""
        return SAME_HEIGHT if isinstance(self.font, Second) else 1.0

    @property
    def width(self) -> float:
        """How far it moves the pen, in ems."""
        if not self.marked:
            return self.scale * float(registered(self.font).stringWidth(self.text, 1))
        glyphs = getattr(_shaped(self.text, self.font), "__shapeData__")  # noqa: B009
        return self.scale * float(sum(each.x_advance for each in glyphs)) / UNITS_PER_EM


@lru_cache(maxsize=len(Face) + len(Second))
def registered(font: Face | Second) -> TTFont:
    """Give a font, registered with reportlab the first time it is asked for."""
    done = TTFont(str(font), BytesIO(_data(font)))
    pdfmetrics.registerFont(done)
    return done


def _data(font: Face | Second) -> bytes:
    if isinstance(font, Second):
        # each weight is a module of half a megabyte: only what is needed is unpacked
        return bytes(importlib.import_module(f"pymupdf_fonts.{font}").fontbuffer)
    return Path(font_files_ttf[font]).read_bytes()


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

    A mark that neither typeface can set on its letter counts too: it would be printed beside it.
    """
    told: dict[str, None] = {}
    for cluster in _clusters(cleaned(text)):
        if all(_font_for(cluster, face) for face in Face):
            continue
        lacking = [c for c in cluster if not any(ord(c) in _known(face) for face in Second)]
        told |= dict.fromkeys(lacking or cluster[1:] or cluster)
    return "".join(told)


@lru_cache(maxsize=REMEMBERED)
def spans(text: str, face: Face) -> tuple[Span, ...]:
    """Cut a text into stretches of one typeface each: a word is in one, wherever one has it all.

    In the weight that the second typeface lacks, a whole text is in one: beside its bold, words in
    semibold would look like others. A character that neither has is left to Source Sans Pro:
    `missing_glyphs` tells it beforehand.
    """
    if _is_plain(text, face):
        return (Span(text, face, marked=False),)
    parts: list[tuple[str, Face | Second]] = []
    apart = (lambda _: False) if face == Face.SEMIBOLD else str.isspace
    for blank, letters in groupby(_clusters(text), key=apart):
        clusters = list(letters)
        fonts = [_font_for(cluster, face) or face for cluster in clusters]
        if not blank and len(set(fonts)) > 1 and all(_has(INSTEAD[face], c) for c in clusters):
            fonts = [INSTEAD[face]] * len(clusters)
        parts += zip(clusters, fonts, strict=True)
    found = []
    for font, group in groupby(parts, key=lambda part: part[1]):
        clusters = [cluster for cluster, _ in group]
        marked = any(len(cluster) > 1 for cluster in clusters)
        found.append(Span("".join(clusters), font, marked))
    return tuple(found)


@lru_cache(maxsize=REMEMBERED)
def width_in_ems(text: str, face: Face) -> float:
    """Give how far a text on one line moves the pen, in ems."""
    return sum(span.width for span in spans(text, face))


@lru_cache(maxsize=REMEMBERED)
def ink_above(text: str, face: Face) -> float:
    """Give how far the ink of a text rises above its baseline, in ems."""
    return max((above for above, _ in _extents(text, face)), default=0.0)


@lru_cache(maxsize=REMEMBERED)
def ink_below(text: str, face: Face) -> float:
    """Give how far the ink of a text goes below its baseline, in ems."""
    return max((below for _, below in _extents(text, face)), default=0.0)


def draw_text(canvas: Canvas, x: float, y: float, text: str, face: Face, size: float) -> None:
    """Draw a text on one line from a point on its baseline, in points."""
    for span in spans(text, face):
        registered(span.font)
        canvas.setFont(span.font, size * span.scale)
        canvas.drawString(x, y, _shaped(span.text, span.font) if span.marked else span.text)
        x += span.width * size


# letters with the marks that stand on them


def _clusters(text: str) -> list[str]:
    """Cut a text into characters, each with the marks that follow it."""
    found: list[str] = []
    for character in text:
        if found and unicodedata.combining(character):
            found[-1] += character
        else:
            found.append(character)
    return found


@lru_cache(maxsize=len(Face) + len(Second))
def _known(font: Face | Second) -> frozenset[int]:
    return frozenset(registered(font).face.charToGlyph)


def _is_plain(text: str, face: Face) -> bool:
    known = _known(face)
    return all(ord(c) in known and not unicodedata.combining(c) for c in text)


def _font_for(cluster: str, face: Face) -> Face | Second | None:
    """Give the typeface that a letter with its marks is set in, the second where it must be."""
    return next((font for font in (face, INSTEAD[face]) if _has(font, cluster)), None)


@lru_cache(maxsize=REMEMBERED)
def _has(font: Face | Second, cluster: str) -> bool:
    """Tell whether a typeface has a letter, and says for each of its marks where it sits on it."""
    if any(ord(character) not in _known(font) for character in cluster):
        return False
    if len(cluster) == 1:
        return not unicodedata.combining(cluster)
    placed = _glyphs(font, cluster)
    loose = _glyphs(font, cluster, mark=False, mkmk=False)
    return all(a[1:] != b[1:] for a, b in zip(placed[1:], loose[1:], strict=True))


@lru_cache(maxsize=len(Face) + len(Second))
def _drawn(font: Face | Second) -> uharfbuzz.Font:
    return uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob(_data(font))))


def _glyphs(font: Face | Second, cluster: str, **features: bool) -> list[tuple[int, int, int]]:
    """Give the glyphs of a letter with its marks: number, and how far from where the pen stands."""
    buffer = uharfbuzz.Buffer()
    buffer.add_str(cluster)
    buffer.guess_segment_properties()
    uharfbuzz.shape(_drawn(font), buffer, features)
    pairs = zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    return [(info.codepoint, place.x_offset, place.y_offset) for info, place in pairs]


def _extents(text: str, face: Face) -> Iterator[tuple[float, float]]:
    for span in spans(text, face):
        for cluster in _clusters(span.text):
            above, below = _extent(cluster, span.font)
            yield above * span.scale, below * span.scale


@lru_cache(maxsize=REMEMBERED)
def _extent(cluster: str, font: Face | Second) -> tuple[float, float]:
    """Give how far the ink of a letter with its marks goes above and below its baseline, in ems."""
    tops, feet = [0], [0]
    for number, _, y in _glyphs(font, cluster):
        ink = _drawn(font).get_glyph_extents(number)
        if ink is not None and ink.height:
            tops.append(y + ink.y_bearing)
            feet.append(y + ink.y_bearing + ink.height)
    return max(tops) / UNITS_PER_EM, -min(feet) / UNITS_PER_EM


@lru_cache(maxsize=REMEMBERED)
def _shaped(text: str, font: Face | Second) -> ShapedStr:
    """Give a text with the places of its glyphs, as reportlab draws them."""
    registered(font)
    done = shapeStr(text, str(font), UNITS_PER_EM, force=True)
    assert isinstance(done, ShapedStr)
    return done
