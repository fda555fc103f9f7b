"""Measures as potters type them: “11.5”, “4 1/2 in”, “450 g”, “1 lb 2 oz”. Pure.

Lengths become whole millimetres and weights whole grams, rounded half up. A number without a
unit is in the studio's own: centimetres and grams, or inches and pounds.
"""

import re
from fractions import Fraction

MM_PER_INCH = Fraction(254, 10)
GRAMS_PER_OUNCE = Fraction(28_349_523_125, 1_000_000_000)
LONGEST = 24

_MM = {"mm": Fraction(1), "cm": Fraction(10), "in": MM_PER_INCH}
_GRAMS = {
    "g": Fraction(1),
    "kg": Fraction(1000),
    "oz": GRAMS_PER_OUNCE,
    "lb": 16 * GRAMS_PER_OUNCE,
}
_LENGTH_UNITS = {"″": "in", '"': "in", "inch": "in", "inches": "in", "": ""}
_WEIGHT_UNITS = {"lbs": "lb", "": ""}
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
           "⅓": "1/3", "⅔": "2/3"}  # fmt: skip
_PART = re.compile(
    r"(?:(?P<whole>[0-9]{1,6}) +)?(?P<over>[0-9]{1,3})/(?P<under>[0-9]{1,3}) *(?P<unit>[a-z″\"]*) *"
    r"|(?P<decimal>[0-9]{1,6}(?:[.,][0-9]{1,4})?) *(?P<of>[a-z″\"]*) *"
)


class NotAMeasure(ValueError):  # noqa: N818 - named as it reads
    """Text that is no length or no weight."""


def read_length(text: str, *, inches: bool) -> int:
    """Return a length in whole millimetres; NotAMeasure for anything else, or for two parts."""
    parts = _parts(text, _MM, _LENGTH_UNITS, "in" if inches else "cm")
    if len(parts) != 1:
        raise NotAMeasure(text)
    return _whole(parts[0][0], text)


def read_weight(text: str, *, pounds: bool) -> int:
    """Return a weight in whole grams; pounds may be followed by ounces. NotAMeasure otherwise."""
    parts = _parts(text, _GRAMS, _WEIGHT_UNITS, "lb" if pounds else "g")
    units = [unit for _, unit in parts]
    if len(parts) > 1 and units != ["lb", "oz"]:
        raise NotAMeasure(text)
    return _whole(sum((size for size, _ in parts), Fraction(0)), text)


def _parts(
    text: str, sizes: dict[str, Fraction], names: dict[str, str], otherwise: str
) -> list[tuple[Fraction, str]]:
    """Return each number with its unit, as a size in the smallest unit."""
    plain = text.strip().casefold()
    if not plain or len(plain) > LONGEST:
        raise NotAMeasure(text)
    for sign, written in _VULGAR.items():
        plain = plain.replace(sign, f" {written}")
    plain = plain.strip()
    found, end = [], 0
    while end < len(plain):
        match = _PART.match(plain, end)
        if match is None:
            raise NotAMeasure(text)
        end = match.end()
        written = match["unit"] or match["of"] or ""
        unit = names.get(written, written) or otherwise
        if unit not in sizes:
            raise NotAMeasure(text)
        found.append((_number(match, text) * sizes[unit], unit))
    return found


def _number(match: re.Match[str], text: str) -> Fraction:
    """Return a decimal, a fraction, or a whole number and a fraction."""
    if match["decimal"]:
        return Fraction(match["decimal"].replace(",", "."))
    if not int(match["under"]):
        raise NotAMeasure(text)
    return int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))


def _whole(size: Fraction, text: str) -> int:
    """Return the nearest whole number, a half going up; NotAMeasure for nothing at all."""
    rounded = int(size + Fraction(1, 2))
    if rounded <= 0:
        raise NotAMeasure(text)
    return rounded
