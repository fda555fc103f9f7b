"""The demonstration season is drawn from its model, and is the same every time."""

import datetime
from collections import Counter

import pytest

from vendor.demo import model, season

WEDNESDAY = datetime.date(2026, 12, 2)


def test_the_season_is_drawn_the_same_every_time() -> None:
    """A fixed seed: the demo, the docs and the tests tell one story."""
    assert season.draw(WEDNESDAY) == season.draw(WEDNESDAY)


def test_the_fair_runs_from_21_november_when_loaded_on_2_december() -> None:
    """Five weekends, the third of them coming."""
    assert [str(day) for day in model.saturdays(WEDNESDAY)] == [
        "2026-11-21", "2026-11-28", "2026-12-05", "2026-12-12", "2026-12-19",
    ]  # fmt: skip


@pytest.mark.parametrize("days", range(7))
def test_on_any_day_two_weekends_are_sold_and_the_third_is_not_over(days: int) -> None:
    """Nothing in the demo has happened after the day it is loaded on."""
    today = WEDNESDAY + datetime.timedelta(days=days)
    drawn = season.draw(today)
    sold = [sale.at.date() for weekend in drawn.weekends for sale in weekend.sales]
    assert len(drawn.weekends) == 2
    assert max(sold) < today
    assert drawn.to_come[0].saturday + datetime.timedelta(days=1) >= today
    assert all(firing.unloaded_on is None or firing.unloaded_on < today for firing in drawn.firings)


def test_the_demo_has_thirty_ware_and_six_unloaded_firings_with_losses() -> None:
    """The size of a real season."""
    drawn = season.draw(WEDNESDAY)
    unloaded = [firing for firing in drawn.firings if firing.unloaded_on]
    assert len(season.ware()) == 30
    assert len(unloaded) == 6
    assert all(any(line.losses for line in firing.lines) for firing in unloaded)
    for firing in unloaded:
        for line in firing.lines:
            assert line.firsts + line.seconds + sum(line.losses.values()) == line.loaded


def test_each_sold_weekend_has_150_to_300_sales_within_the_open_hours() -> None:
    """A sale falls between ten and five on its Saturday or Sunday."""
    for weekend in season.draw(WEDNESDAY).weekends:
        assert 150 <= len(weekend.sales) <= 300
        for sale in weekend.sales:
            assert sale.at.date() - weekend.saturday <= datetime.timedelta(days=1)
            assert 10 <= sale.at.hour < 17


def test_no_more_is_sold_than_was_on_the_stall() -> None:
    """What is packed is sold or left, piece by piece."""
    drawn = season.draw(WEDNESDAY)
    stall: Counter[tuple[str, str]] = Counter()
    for weekend in drawn.weekends:
        stall.update(weekend.packed)
        for sale in weekend.sales:
            for ware, grade, pieces in sale.lines:
                stall[ware, grade] -= pieces
        assert {spot: left for spot, left in stall.items() if left} == weekend.left
    assert min(drawn.shelf.values()) >= 0
