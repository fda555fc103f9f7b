"""Article numbers (EAN-13, UPC-A): their check digit, their bars, and a studio's own range.

The bars are those of ISO/IEC 15420. A number of twelve digits (UPC-A) is the number of thirteen
with a zero before it, in the very same bars; it is shown and given its blank as one of twelve.
"""

from functools import lru_cache
from itertools import groupby

from vendor.house.errors import Refused
from vendor.labels.code128 import Bars, dot
from vendor.labels.lengths import mm, points

DIGITS = 13

OWN_PREFIX = "04"
"""Numbers that begin so are free for use within any company, and mean nothing outside of it (GS1
General Specifications, restricted circulation numbers within a company)."""

NARROWEST, WIDEST = points(mm("0.264")), points(mm("0.660"))
"""A module is from 0.264 to 0.660 mm wide (GS1 General Specifications, general retail)."""

NARROWEST_ON_DEMAND = points(mm("0.249"))
"""What is printed on demand, as tags are, may have modules down to 0.249 mm; only where there is no
room for wider ones (GS1 General Specifications, note to the sizes for general retail; as told by
public guides, the figure from memory)."""

LOWEST = points(mm("18.28"))
"""The least height of bars, also with modules narrower than 0.264 mm (GS1 size guide)."""

HEIGHT_IN_MODULES = 69.24
"""How high the bars are for their module: 22.85 mm at 0.330 mm (ISO/IEC 15420:2009, 4.3.3)."""

QUIET_LONG, QUIET_SHORT = 11, 9
"""Blank modules beside EAN-13 (11 left and 7 right; 11 are kept on both sides) and UPC-A (9)."""

# ISO/IEC 15420: the left-hand digits with odd parity (A); B is its mirrored complement, C its
# complement. The first digit of thirteen is told by the parities of the six left-hand ones.
_A = (
    "0001101", "0011001", "0010011", "0111101", "0100011",
    "0110001", "0101111", "0111011", "0110111", "0001011",
)  # fmt: skip
_PARITIES = (
    "AAAAAA", "AABABB", "AABBAB", "AABBBA", "ABAABB",
    "ABBAAB", "ABBBAA", "ABABAB", "ABABBA", "ABBABA",
)  # fmt: skip


class NotAnArticleNumber(Refused):
    """Digits that are no article number."""


def check_digit(digits: str) -> int:
    """Give the check digit of the digits before it: weights 3, 1, 3 … from the right."""
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(digits[::-1]))
    return -total % 10


def read_number(text: str) -> str:
    """Give the thirteen digits of a number of twelve or thirteen that a person typed.

    Spaces and hyphens between its groups don't count. Refuses other lengths and wrong check digits.
    """
    digits = text.replace(" ", "").replace("-", "")
    if not (digits.isascii() and digits.isdigit()) or len(digits) not in (12, DIGITS):
        raise NotAnArticleNumber(
            f"“{text[:40]}” is no article number: it has 12 or 13 digits. Nothing was saved."
        )
    right = check_digit(digits[:-1])
    if int(digits[-1]) != right:
        raise NotAnArticleNumber(
            f"The last digit of {digits} would be {right}, not {digits[-1]}: a digit is wrong, or "
            "two are swapped. Nothing was saved. Read the number again."
        )
    return digits.zfill(DIGITS)


def own_number(count: int) -> str:
    """Give the number of a count (from 1) out of the range that is free within a company."""
    body = f"{OWN_PREFIX}{count:0{DIGITS - 1 - len(OWN_PREFIX)}d}"
    if len(body) >= DIGITS:
        raise NotAnArticleNumber("There are no numbers left in the range for one's own use.")
    return f"{body}{check_digit(body)}"


def shown(number: str) -> str:
    """Give a number as it stands under its bars: twelve digits where the first of 13 is a zero."""
    return number[1:] if number.startswith("0") else number


@lru_cache(maxsize=1024)
def module_widths(number: str) -> tuple[int, ...]:
    """Give the widths of the bars and spaces of thirteen digits in modules, a bar first."""
    parities = _PARITIES[int(number[0])]
    left = "".join(
        _left(int(digit), parity) for digit, parity in zip(number[1:7], parities, strict=True)
    )
    right = "".join(_inverted(_A[int(digit)]) for digit in number[7:])
    pattern = f"101{left}01010{right}101"
    return tuple(len(list(run)) for _, run in groupby(pattern))


def _left(digit: int, parity: str) -> str:
    return _A[digit] if parity == "A" else _inverted(_A[digit])[::-1]


def _inverted(pattern: str) -> str:
    return pattern.translate(str.maketrans("01", "10"))


def code_fault(number: str) -> str | None:
    """Say why a code is no article number, or give None."""
    try:
        read_number(number)
    except NotAnArticleNumber as refusal:
        return refusal.message
    return None


def bars_for(number: str, resolution: int) -> tuple[Bars, ...]:
    """Give a number's bars at every width the standard allows on a printer, the widest first.

    Wider than 0.4 mm they only use up the label (common practice). The last may be narrower than
    the standard's usual least: a last resort.
    """
    widths, step = module_widths(number), dot(resolution)
    quiet = QUIET_SHORT if number.startswith("0") else QUIET_LONG
    fitting = [n for n in range(1, resolution) if NARROWEST <= n * step <= WIDEST]
    choices = [n for n in fitting if n == fitting[0] or n * step <= points(mm("0.4"))]
    choices = [n for n in range(1, choices[0]) if n * step >= NARROWEST_ON_DEMAND] + choices
    return tuple(
        Bars(
            shown(number),
            widths,
            resolution,
            dots,
            quiet,
            max(LOWEST, HEIGHT_IN_MODULES * dots * step),
            0.0,
            last_resort=dots * step < NARROWEST,
        )
        for dots in reversed(choices)
    )
