"""Why an estimate is what it is, as data and in one line."""

import pytest

from vendor.restock.demand import estimate_season
from vendor.restock.prior import FittedPrior
from vendor.restock.rates import Gamma
from vendor.restock.reason import (
    LittleSeen,
    NewWare,
    NoneSold,
    Reason,
    SoldOut,
    SoldOutUnknown,
    Steady,
    reason_for,
    sentence,
)
from vendor.restock.records import Ending, Record

# A prior that is worth a weekend and a half of watching.
PRIOR = FittedPrior(Gamma(3, 1.5), ware=39, sold=120, exposure=60.0)
LEFT = Record(1, 4, 12, 12)
GONE = Record(2, 6, 3.5, 12, ending=Ending.SOLD_OUT)
GONE_SOMETIME = Record(2, 6, 12, 12, ending=Ending.SOLD_OUT_UNKNOWN)


@pytest.mark.parametrize(
    ("records", "reason"),
    [
        ([], NewWare(39)),
        ([Record(1, 0, 0, 12)], NewWare(39)),
        ([LEFT], LittleSeen(4, 1, 38)),
        ([LEFT, Record(2, 5, 12, 12)], Steady(9, 2)),
        ([LEFT, Record(2, 0, 0, 12)], LittleSeen(4, 1, 38)),
        ([Record(1, 0, 12, 12), Record(2, 0, 12, 12)], NoneSold(2)),
        ([GONE, LEFT], SoldOut(2, 6, 3.5, 12)),
        ([LEFT, GONE_SOMETIME], SoldOutUnknown(2, 6)),
        ([Record(1, 9, 1, 12, ending=Ending.SOLD_OUT), GONE], SoldOut(2, 6, 3.5, 12)),
        ([GONE, Record(3, 0, 0, 12, ending=Ending.SOLD_OUT)], SoldOut(2, 6, 3.5, 12)),
        # Two days of one weekend are one weekend.
        ([LEFT, Record(1, 5, 12, 12)], Steady(9, 1)),
    ],
)
def test_the_reason_is_what_moves_the_estimate_most(records: list[Record], reason: Reason) -> None:
    """The latest sell-out first, then how much there is to go by."""
    assert reason_for(records, PRIOR) == reason


@pytest.mark.parametrize(
    ("reason", "line"),
    [
        (SoldOut(2, 6, 3.5, 12), "Sold out in weekend 2: 6 pieces gone in 3.5 of 12 open hours."),
        (SoldOut(1, 1, 0.26, 12), "Sold out in weekend 1: 1 piece gone in 0.3 of 12 open hours."),
        (SoldOutUnknown(2, 6), "Sold out in weekend 2, hour unknown: at least 6 wanted."),
        (Steady(9, 2), "Steady: 9 pieces sold in 2 weekends, never sold out."),
        (LittleSeen(1, 1, 38), "1 piece sold in 1 weekend; leans on the 38 other ware."),
        (LittleSeen(1, 1, 0), "1 piece sold in 1 weekend; leans on a careful start."),
        (NoneSold(2), "None sold in 2 weekends."),
        (NewWare(39), "New here: reckoned from the 39 ware already seen."),
        (NewWare(0), "New here, and a first fair: a careful start until there are sales."),
    ],
)
def test_a_reason_is_one_line(reason: Reason, line: str) -> None:
    """Each reason as the potter reads it."""
    assert sentence(reason) == line


def test_a_season_of_new_ware_says_so() -> None:
    """The first morning of a first fair."""
    season = estimate_season({1: [], 2: []})
    assert {each.reason for each in season.estimates.values()} == {NewWare(0)}
