"""The count of a stall and of its till, and the closing of a weekend as it was written.

All of it is append-only: a count is never changed, it is counted again, and the later one holds.
"""

from vendor.closing.models.cards import CardColumns, CardNote, CardPair, CardStatement
from vendor.closing.models.closings import Amendment, Closing
from vendor.closing.models.counts import (
    MOST_COUNTED,
    CarriedCash,
    CashCount,
    Counting,
    CountPass,
    StallCount,
)
from vendor.closing.models.lines import ClosingCard, ClosingCash, ClosingLine

__all__ = [
    "MOST_COUNTED",
    "Amendment",
    "CardColumns",
    "CardNote",
    "CardPair",
    "CardStatement",
    "CarriedCash",
    "CashCount",
    "Closing",
    "ClosingCard",
    "ClosingCash",
    "ClosingLine",
    "CountPass",
    "Counting",
    "StallCount",
]
