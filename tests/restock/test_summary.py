"""The coming weekend in a few words, for the home page; statements, and what is not there."""

from itertools import count

import pytest
from pytest_django import DjangoAssertNumQueries

from tests.factories import NOW
from tests.fairs.makers import weekends_of
from tests.restock.makers import Season
from vendor.fairs import actions as fairs
from vendor.house.dates import said_as_by
from vendor.ledger import actions
from vendor.restock import queries, reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def season() -> Season:
    """Three weekends from 21 November 2026."""
    return Season()


def test_no_weekend_ahead_has_no_plan(season: Season) -> None:
    """The season is done."""
    weekends = reading.all_weekends()
    assert queries.fairs_ahead(weekends, now=season.at(9, 0, 9), studio=season.studio) == []
    assert queries.coming_summary(now=season.at(9, 0, 9), studio=season.studio) is None


def test_a_weekend_that_is_closed_early_is_over(season: Season) -> None:
    """Counted and closed on Sunday at four, an hour before the end."""
    now = season.at(1, 1, 16)
    assert season.plan(now).weekend.number == 1
    actions.close_through(place=season.stall, day=season.weekends[0].last_day)
    assert season.plan(now).weekend.number == 2


def test_the_summary_names_what_is_missed_most_and_what_it_should_take(season: Season) -> None:
    """The dear ware that sold out; takings with the tax, later weekends by their crowd."""
    dear, cheap = season.ware(price=8000), season.ware(price=900, free=30)
    for ware in (dear, cheap):
        season.bring(ware, 5, season.at(1, -1, 17))
        season.sell(ware, *[season.at(1, 0, 11)] * 4, season.at(1, 1, 13))
    now = season.at(2, -3, 9)
    plan, found = season.plan(now), queries.coming_summary(now=now, studio=season.studio)
    assert found is not None
    assert found.worst is not None
    assert (found.worst.ware, found.worst.pieces) == (dear, plan.short)
    assert found.worst.why.startswith("Sold out Sunday 1:00")
    assert found.weekend == season.weekends[1]
    assert found.takings == round(sum(row.takings for row in plan.rows) * 1.0725)
    ordinary = sum(row.rate * row.price for row in plan.rows)
    assert found.later == {season.weekends[2].pk: round(ordinary * 1.0725)}


@pytest.mark.parametrize("many", [1, 12])
def test_statements_do_not_grow_with_ware_sales_or_fairs(
    many: int, season: Season, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """Ten, with one ware or with twelve, their sales, holds and another fair."""
    numbers = count(1)
    for _ in range(many):
        ware = season.ware(free=4)
        season.bring(ware, 4, season.at(1, -1, 17))
        season.hold(ware, season.at(1, -1, 18))
        season.sell(ware, *[season.at(1, 0, 11)] * 3)
        fair = fairs.open_fair(
            name=f"Fair {next(numbers)}",
            terms=fairs.terms_of(season.fair),
            who=season.owner,
            now=NOW,
        )
        weekends_of(fair, season.owner, 2)
    with django_assert_num_queries(10), said_as_by(season.studio):
        found = queries.coming_summary(now=season.at(2, -3, 9), studio=season.studio)
    assert found is not None
