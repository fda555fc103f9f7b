"""Every write of this part, by name: counting pots and cash, saying why, closing, amending.

Other parts, pages and commands call these through this module.
"""

from vendor.closing.bycount import sell_by_count
from vendor.closing.closing import amend_closing, close_weekend
from vendor.closing.counting import (
    count_cash,
    count_the_rest_as_none,
    count_ware,
    explain_cash,
    explain_ware,
)

__all__ = [
    "amend_closing",
    "close_weekend",
    "count_cash",
    "count_the_rest_as_none",
    "count_ware",
    "explain_cash",
    "explain_ware",
    "sell_by_count",
]
