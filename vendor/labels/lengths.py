"""Lengths on paper: micrometres inside, millimetres or inches for people, points in the PDF.

A micrometre is fine enough for every fraction of an inch down to 1/64 (off by half a micrometre
at most), so that a grid of labels adds up without the drift of floating point.
"""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

UM_PER_MM = 1_000
UM_PER_INCH = 25_400
POINTS_PER_INCH = 72


def mm(value: str | int | Decimal) -> int:
    """Give a length in millimetres ("63.5") as whole micrometres, rounded half up."""
    exact = Decimal(value) * UM_PER_MM
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def inches(value: str) -> int:
    """Give a length in inches ("2 5/8", "1", "8 1/2") as whole micrometres, rounded half up."""
    exact = sum((Fraction(piece) for piece in value.split()), Fraction(0)) * UM_PER_INCH
    return int(exact + Fraction(1, 2))


def points(um: int) -> float:
    """Give micrometres as PostScript points, 72 to the inch, the unit of a PDF page."""
    return um * POINTS_PER_INCH / UM_PER_INCH


def micrometres(pt: float) -> int:
    """Give PostScript points as the nearest whole micrometre."""
    return round(pt * UM_PER_INCH / POINTS_PER_INCH)


def in_mm(um: int) -> str:
    """Say a length in millimetres, with no more digits than it has: 63500 -> "63.5"."""
    text = format(Decimal(um) / UM_PER_MM, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_inches(um: int) -> str | None:
    """Say a length as inches and a fraction (66675 -> "2 5/8"), or None if it is no such length.

    Only fractions down to sixteenths count, and only when they are right to the micrometre.
    """
    exact = Fraction(um, UM_PER_INCH)
    near = Fraction(round(exact * 16), 16)
    if near <= 0 or abs(near - exact) * UM_PER_INCH > 1:
        return None
    whole, part = divmod(near, 1)
    words = [str(int(whole))] if whole else []
    return " ".join([*words, str(part)] if part else words)


def typed(text: str, *, in_inch: bool) -> int:
    """Give what a person typed as a length in whole micrometres.

    Millimetres as “63.5” or “63,5”; inches also as “2 5/8” or “2.625”. The unit may stand behind
    it. Raises ValueError for what can't be read, or is longer than any paper.
    """
    bare = re.sub(r"\s*(mm|in|inches|″|\")\s*$", "", text.strip().replace(",", "."))
    negative = bare[:1] in ("-", "−")
    bare = bare.lstrip("-−").strip()
    if not re.fullmatch(
        r"[0-9]{1,5}(\.[0-9]{1,6})?|([0-9]{1,3} +)?[0-9]{1,3}/[1-9][0-9]{0,2}", bare
    ):
        raise ValueError(text)
    if not in_inch and "/" in bare:
        raise ValueError(text)
    length = inches(bare) if in_inch else mm(bare)
    return -length if negative else length


def shown(um: int, *, in_inch: bool) -> str:
    """Give a length as it would be typed: “63.5”, or “2 5/8” (else a decimal) in inches.

    What is typed back is the same length to the micrometre.
    """
    if not in_inch:
        return in_mm(um)
    fraction = in_inches(um) if um > 0 else None
    if fraction and inches(fraction) == um:
        return fraction
    text = format((Decimal(um) / UM_PER_INCH).quantize(Decimal("0.000001")), "f")
    return text.rstrip("0").rstrip(".")
