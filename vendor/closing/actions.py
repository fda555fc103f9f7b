"""Every write of this part, by name: counting pots and cash, saying why, closing, amending, cards.

Other parts, pages and commands call these through this module.
"""

from vendor.closing.bycount import sell_by_count
from vendor.closing.cards import (
    map_statement,
    note_left,
    pair_by_hand,
    remove_statement,
    take_apart,
    take_statement,
)
from vendor.closing.cash_counting import count_cash, explain_carried, explain_cash, take_out
from vendor.closing.closing import Leftovers, amend_closing, close_weekend
from vendor.closing.counting import (
    count_elsewhere,
    count_the_rest_as_none,
    count_ware,
    explain_ware,
)
from vendor.closing.scanning import end_pass, scan_pieces

__all__ = [
    "Leftovers",
    "amend_closing",
    "close_weekend",
    "count_cash",
    "count_elsewhere",
    "count_the_rest_as_none",
    "count_ware",
    "end_pass",
    "explain_carried",
    "explain_cash",
    "explain_ware",
    "map_statement",
    "note_left",
    "pair_by_hand",
    "remove_statement",
    "scan_pieces",
    "sell_by_count",
    "take_apart",
    "take_out",
    "take_statement",
]
