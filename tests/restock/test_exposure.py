"""Hours on the stall out of a weekend's open hours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.exposure import Absence, OpenHours, hours_on_stall, open_hours

# Saturday 10-17, Sunday 11-16, counted from Saturday's midnight: twelve open hours.
SATURDAY = OpenHours(10, 17)
SUNDAY = OpenHours(35, 40)
WEEKEND = [SATURDAY, SUNDAY]


def test_the_night_between_two_days_is_not_open() -> None:
    """Seven hours and five make twelve."""
    assert open_hours(WEEKEND) == 12


def test_ware_never_gone_is_there_all_along() -> None:
    """Without an absence the whole weekend counts."""
    assert hours_on_stall(WEEKEND) == 12


def test_a_sell_out_ends_the_exposure() -> None:
    """Sold out on Saturday at 13:30: three and a half hours of twelve."""
    assert hours_on_stall(WEEKEND, [Absence(13.5)]) == 3.5


def test_ware_that_comes_back_counts_again() -> None:
    """Sold out on Saturday at 15, back on Sunday at 12: five hours and four."""
    assert hours_on_stall(WEEKEND, [Absence(15, 36)]) == 9


def test_ware_put_out_late_counts_from_then() -> None:
    """First put out on Saturday at 14: three hours and five."""
    assert hours_on_stall(WEEKEND, [Absence(0, 14)]) == 8


def test_a_sell_out_after_closing_costs_nothing() -> None:
    """Gone overnight and back before the opening."""
    assert hours_on_stall(WEEKEND, [Absence(17, 35)]) == 12


def test_overlapping_absences_are_taken_off_once() -> None:
    """Two reports of the same gap, in either order, take it off once."""
    gaps = [Absence(12, 14), Absence(11, 13), Absence(39)]
    assert hours_on_stall(WEEKEND, gaps) == 8
    assert hours_on_stall(WEEKEND, gaps[::-1]) == 8


def test_a_running_weekend_counts_up_to_now() -> None:
    """On Saturday at 13, three hours have passed; at 18 the whole Saturday has."""
    assert open_hours(WEEKEND, until=13) == 3
    assert open_hours(WEEKEND, until=18) == 7
    assert open_hours(WEEKEND, until=9) == 0
    assert hours_on_stall(WEEKEND, [Absence(12)], until=13) == 2


@pytest.mark.parametrize(("opens", "closes"), [(10, 10), (17, 10), (float("nan"), 3)])
def test_a_day_that_does_not_open_is_refused(opens: float, closes: float) -> None:
    """A day must open before it closes."""
    with pytest.raises(ValueError, match="opens before"):
        OpenHours(opens, closes)


def test_ware_back_before_it_is_gone_is_refused() -> None:
    """Back before gone is a mix-up."""
    with pytest.raises(ValueError, match="comes back after"):
        Absence(14, 13)


def test_days_that_overlap_are_refused() -> None:
    """Two days can't share an hour."""
    with pytest.raises(ValueError, match="overlap"):
        open_hours([SATURDAY, OpenHours(16, 20)])


hours = st.integers(0, 48).map(float)
absences = st.lists(st.tuples(hours, hours).map(lambda pair: Absence(min(pair), max(pair))))


@given(absences)
def test_hours_are_those_counted_one_by_one(gaps: list[Absence]) -> None:
    """With whole hours, the sum equals a count of the hours in which it was there."""
    open_ones = [*range(10, 17), *range(35, 40)]
    there = [h for h in open_ones if not any(gap.gone <= h < (gap.back or 0) for gap in gaps)]
    assert hours_on_stall(WEEKEND, gaps) == len(there)


@given(absences, st.tuples(hours, hours).map(lambda pair: Absence(min(pair), max(pair))))
def test_another_absence_never_adds_hours(gaps: list[Absence], more: Absence) -> None:
    """Being away longer is never more exposure."""
    assert hours_on_stall(WEEKEND, [*gaps, more]) <= hours_on_stall(WEEKEND, gaps)
