"""Matching card lines to card sales."""

import datetime
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.closing.matching import (
    MOST_APART,
    Charge,
    How,
    assign,
    match,
    minutes_apart,
)

SATURDAY = datetime.date(2026, 11, 21)
SUNDAY = SATURDAY + datetime.timedelta(days=1)
MONDAY = SATURDAY + datetime.timedelta(days=2)


def at(pk: int, amount: int, time: str | None = None, day: datetime.date = SATURDAY) -> Charge:
    """A charge of a day, at a time where one is given."""
    if time is None:
        return Charge(pk, amount, day)
    clock = datetime.time.fromisoformat(time)
    return Charge(pk, amount, day, datetime.datetime.combine(day, clock, datetime.UTC))


def told(lines: list[Charge], sales: list[Charge]) -> set[tuple[tuple[int, ...], tuple[int, ...]]]:
    return {(each.lines, each.sales) for each in match(lines, sales).matches}


def test_the_least_sum_of_a_published_matrix() -> None:
    """SciPy's manual, linear_sum_assignment: 1 + 2 + 2 = 5."""
    costs = [[4, 1, 3], [2, 0, 5], [3, 2, 2]]
    pairs = assign(costs)
    assert pairs == [(0, 1), (1, 0), (2, 2)]
    assert sum(costs[row][column] for row, column in pairs) == 5


def test_a_line_finds_its_sale_by_amount_and_time() -> None:
    """Three sales of 36.47: each line goes with the nearest, all gaps together the least."""
    sales = [at(1, 36_47, "10:00"), at(2, 36_47, "10:30"), at(3, 36_47, "15:00")]
    lines = [at(11, 36_47, "15:02"), at(12, 36_47, "10:29"), at(13, 36_47, "10:03")]
    found = match(lines, sales)
    assert {(each.lines, each.sales, each.minutes) for each in found.matches} == {
        ((11,), (3,), 2), ((12,), (2,), 1), ((13,), (1,), 3),
    }  # fmt: skip
    assert {each.how for each in found.matches} == {How.NEAREST}


def test_the_nearest_pair_alone_is_not_always_best() -> None:
    """Pairing 10:09 with 10:10 first would leave 10:20 with 10:00: more in all."""
    found = told(
        [at(11, 500, "10:09"), at(12, 500, "10:20")], [at(1, 500, "10:00"), at(2, 500, "10:10")]
    )
    assert found == {((11,), (1,)), ((12,), (2,))}


def test_what_is_left_on_either_side_is_shown() -> None:
    """A sale that the statement lacks, and a line that no sale is for."""
    found = match([at(11, 20_00), at(12, 99_99)], [at(1, 20_00), at(2, 50_00)])
    assert (found.lines_left, found.sales_left) == ((12,), (2,))


def test_the_same_amount_on_a_far_day_is_no_match() -> None:
    """A sale of one weekend is not a line of another."""
    far = SATURDAY + datetime.timedelta(days=7)
    assert not match([at(11, 20_00, day=far)], [at(1, 20_00)]).matches


def test_of_two_alike_the_one_within_reach_is_matched() -> None:
    """As many as can be: a line far away does not take the near one's sale."""
    far = SATURDAY + datetime.timedelta(days=9)
    found = told([at(11, 500, day=far), at(12, 500)], [at(1, 500)])
    assert found == {((12,), (1,))}


def test_a_line_is_the_sum_of_two_sales() -> None:
    """20.00 and 16.47 charged as 36.47."""
    found = match([at(11, 36_47)], [at(1, 20_00), at(2, 16_47), at(3, 5_00)])
    assert [(each.lines, each.sales, each.how) for each in found.matches] == [
        ((11,), (1, 2), How.SPLIT)
    ]


def test_a_sale_was_paid_with_two_cards() -> None:
    """36.47 as 30.00 and 6.47."""
    assert told([at(11, 30_00), at(12, 6_47)], [at(1, 36_47)]) == {((11, 12), (1,))}


def test_a_sum_that_two_sets_come_to_is_left_over() -> None:
    """30 is 10 + 20 and 12 + 18: nobody can tell."""
    found = match([at(11, 30)], [at(1, 10), at(2, 20), at(3, 12), at(4, 18)])
    assert not found.matches


def test_what_two_lines_want_is_left_over() -> None:
    """10 + 20 may be either line's, and so may the 10 that both sums have: nobody can tell."""
    for lines, sales in (
        ([at(11, 30), at(12, 30)], [at(1, 10), at(2, 20)]),
        ([at(11, 30), at(12, 25)], [at(1, 10), at(2, 20), at(3, 15)]),
        ([at(11, 30, day=MONDAY), at(12, 30, day=MONDAY)], [at(1, 10), at(2, 20)]),
    ):
        assert not match(lines, sales).matches


def test_what_an_unclear_line_may_want_is_given_to_no_other() -> None:
    """15 is 5 + 10, 4 + 5 + 6 and 1 + 4 + 10, so the 1 of 7 + 1 may be a part of it."""
    sales = [at(n, amount) for n, amount in enumerate((5, 10, 6, 4, 7, 1))]
    assert not match([at(11, 15), at(12, 8)], sales).matches
    assert told([at(12, 8)], sales) == {((12,), (4, 5))}


def test_a_weekend_paid_out_as_one() -> None:
    """Saturday's and Sunday's together on Monday; a day alone that fits as well is no answer."""
    sales = [at(1, 10_00), at(2, 5_00, day=SUNDAY), at(3, 6_00, day=SUNDAY)]
    line = at(11, 21_00, day=MONDAY)
    found = match([line], sales)
    assert [(each.sales, each.how) for each in found.matches] == [((1, 2, 3), How.BATCH)]
    alike = [at(1, 4_00), at(2, 7_00), at(3, 5_00, day=SUNDAY), at(4, 6_00, day=SUNDAY)]
    assert not match([at(11, 11_00, day=MONDAY)], alike).matches


def test_a_day_paid_out_as_one() -> None:
    """Sunday's five sales come on Monday as one line."""
    sales = [at(n, n * 10_00, day=SUNDAY) for n in range(1, 6)]
    found = match([at(11, 150_00, day=MONDAY)], sales)
    assert [(each.sales, each.how) for each in found.matches] == [((1, 2, 3, 4, 5), How.BATCH)]


def test_refunds_match_refunds() -> None:
    """Below zero on both sides."""
    assert told([at(11, -20_00), at(12, 20_00)], [at(1, 20_00), at(2, -20_00)]) == {
        ((11,), (2,)), ((12,), (1,)),
    }  # fmt: skip


def test_nothing_matches_nothing() -> None:
    """Empty on either side or both."""
    for lines, sales in (([], []), ([at(1, 5)], []), ([], [at(1, 5)])):
        found = match(lines, sales)
        assert (len(found.lines_left), len(found.sales_left)) == (len(lines), len(sales))


@pytest.mark.parametrize(
    ("one", "other", "minutes"),
    [("10:00", "10:07", 7), ("10:00", None, 720), (None, None, 720)],
)
def test_minutes_apart(one: str | None, other: str | None, minutes: int) -> None:
    """By the clock where both have one, else half a day."""
    assert minutes_apart(at(1, 1, one), at(2, 1, other)) == minutes


times = st.integers(0, 23 * 60 + 59).map(lambda m: f"{m // 60:02}:{m % 60:02}")
charges = st.lists(st.tuples(st.sampled_from([500, 700, 1_200, -500]), times), max_size=6)


@given(charges, charges)
def test_no_charge_is_used_twice_and_every_match_adds_up(
    ours: list[tuple[int, str]], theirs: list[tuple[int, str]]
) -> None:
    """Whatever comes: all lines and sales are either in one match, or left over."""
    lines = [at(n, *each) for n, each in enumerate(ours)]
    sales = [at(n, *each) for n, each in enumerate(theirs)]
    found = match(lines, sales)
    for charged, left, side in (
        (lines, found.lines_left, "lines"), (sales, found.sales_left, "sales"),
    ):  # fmt: skip
        used = [pk for each in found.matches for pk in getattr(each, side)]
        assert sorted([*used, *left]) == [each.id for each in charged]
    for each in found.matches:
        assert sum(lines[pk].amount for pk in each.lines) == sum(
            sales[pk].amount for pk in each.sales
        )


@given(st.lists(times, min_size=1, max_size=5), st.data())
def test_the_pairing_is_as_good_as_the_best_of_all(ours: list[str], data: st.DataObject) -> None:
    """Against every permutation: no pairing of the same amounts has smaller gaps together."""
    theirs = data.draw(st.lists(times, min_size=len(ours), max_size=len(ours)))
    lines = [at(n, 500, time) for n, time in enumerate(ours)]
    sales = [at(n, 500, time) for n, time in enumerate(theirs)]
    best = min(
        sum(minutes_apart(line, sale) for line, sale in zip(lines, order, strict=True))
        for order in permutations(sales)
    )
    found = match(lines, sales)
    assert len(found.matches) == len(ours)
    assert sum(each.minutes or 0 for each in found.matches) == best
    assert all((each.minutes or 0) <= MOST_APART for each in found.matches)
