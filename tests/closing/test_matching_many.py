"""A statement of 2,000 lines and 2,000 sales: equal amounts, lines missing, doubled and late."""

from collections import Counter

import numpy
import pytest
from scipy.optimize import linear_sum_assignment

from tests.closing.crowds import Crowd, crowd
from vendor.closing.matching import MOST_APART, Charge, How, Matching, match, minutes_apart

MANY = 2_000


@pytest.fixture(scope="module")
def busy() -> Crowd:
    """2,000 sales of seven amounts; 20 lines missing and 20 twice, all seven minutes late."""
    return crowd(MANY)


@pytest.fixture(scope="module")
def found(busy: Crowd) -> Matching:
    """What the matching makes of it."""
    return match(busy.lines, busy.sales)


def test_each_is_used_once_or_left_over(busy: Crowd, found: Matching) -> None:
    """All lines and sales are in one match or left, and every match adds up."""
    assert len(busy.lines) == len(busy.sales) == MANY
    amounts = {each.id: each.amount for each in busy.lines}
    sold = {each.id: each.amount for each in busy.sales}
    lines = [pk for each in found.matches for pk in each.lines]
    sales = [pk for each in found.matches for pk in each.sales]
    assert sorted([*lines, *found.lines_left]) == sorted(amounts)
    assert sorted([*sales, *found.sales_left]) == sorted(sold)
    for each in found.matches:
        assert sum(amounts[pk] for pk in each.lines) == sum(sold[pk] for pk in each.sales)


def alone(busy: Crowd, found: Matching) -> tuple[list[Charge], list[Charge]]:
    """The lines and the sales that are in no match of one to one."""
    pairs = [each for each in found.matches if each.how in (How.ALONE, How.NEAREST)]
    lines = {pk for each in pairs for pk in each.lines}
    sales = {pk for each in pairs for pk in each.sales}
    return (
        [each for each in busy.lines if each.id not in lines],
        [each for each in busy.sales if each.id not in sales],
    )


def test_money_without_a_partner_is_what_misses_and_what_is_double(
    busy: Crowd, found: Matching
) -> None:
    """Of each amount the double lines are left over, less as many sales as miss theirs."""
    lines, sales = alone(busy, found)
    double = Counter(each.amount for each in busy.lines if each.id in busy.doubled)
    missing = Counter(each.amount for each in busy.sales if each.id in busy.missing)
    assert double.total() == missing.total() == 20
    assert Counter(each.amount for each in lines) == double - missing
    assert Counter(each.amount for each in sales) == missing - double


@pytest.mark.parametrize("drawn", range(10))
def test_where_sales_are_rare_it_is_known_which_are_left_over(drawn: int) -> None:
    """50 sales, 20 minutes from one to the next: no other line is nearer than a sale's own."""
    calm = crowd(50, missing=5, doubled=5, drawn=drawn)
    lines, sales = alone(calm, match(calm.lines, calm.sales))
    missing = [each for each in calm.sales if each.id in calm.missing]
    double = [each for each in calm.sales if each.id + 50 in calm.doubled]
    # Where both are of one amount, a line too many stands in for a line too few.
    surplus = {each.amount for each in double} - {each.amount for each in missing}
    lack = {each.amount for each in missing} - {each.amount for each in double}
    # Of a line and its double, either may be the one too many.
    assert sorted(each.id % 50 for each in lines if each.amount in surplus) == sorted(
        each.id for each in double if each.amount in surplus
    )
    assert [each.id for each in sales if each.amount in lack] == [
        each.id for each in missing if each.amount in lack
    ]


def test_it_is_as_good_as_one_assignment_of_all_by_the_library(
    busy: Crowd, found: Matching
) -> None:
    """SciPy over the whole 2,000 by 2,000 at once: as many pairs, and the same minutes in all."""
    too_far = (MOST_APART + 1) * 2 * MANY
    costs = numpy.full((MANY, MANY), too_far, dtype=numpy.int64)
    for row, line in enumerate(busy.lines):
        for column, sale in enumerate(busy.sales):
            if line.amount == sale.amount:
                costs[row, column] = minutes_apart(line, sale)
    rows, columns = linear_sum_assignment(costs)
    best = costs[rows, columns]
    pairs = best[best < too_far]
    one_to_one = [each for each in found.matches if each.how in (How.ALONE, How.NEAREST)]
    assert len(one_to_one) == len(pairs)
    assert sum(each.minutes or 0 for each in one_to_one) == pairs.sum()
