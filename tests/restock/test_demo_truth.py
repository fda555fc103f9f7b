"""The estimates of the demonstration season, held against the model that it was drawn from."""

import datetime
from collections import Counter
from dataclasses import dataclass
from statistics import mean

import pytest
from django.db import transaction
from pytest_django.plugin import DjangoDbBlocker

from tests.restock.redrawn import Told, redrawn
from vendor.demo import model, season
from vendor.demo.load import load_demo
from vendor.house.studio import the_studio
from vendor.restock import queries, reading
from vendor.restock.plans import Summary
from vendor.ware.models import Ware

NOW = datetime.datetime(2026, 12, 2, 14, tzinfo=datetime.UTC)
pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Demo:
    """What the demo's ledger tells, by the ware's code."""

    told: dict[str, Told]
    summary: Summary


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Demo:
    """Load the demo once, read it, and forget it."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo(now=NOW)
        studio = the_studio()
        past = reading.past(reading.all_weekends(), now=NOW, studio=studio)
        ((fair, stints),) = past.by_fair.items()
        found = past.season(fair, [])
        summary = queries.coming_summary(now=NOW, studio=studio)
        codes = dict(Ware.objects.values_list("pk", "code"))
        transaction.set_rollback(True)
    assert summary is not None
    told = {
        codes[ware]: Told(
            model.rate(*codes[ware].split("-")), found.estimates[ware].rate, dict(stints[ware])
        )
        for ware in stints
    }
    return Demo(told, summary)


def sell_outs(weekend: season.Weekend, stall: Counter[str]) -> dict[str, datetime.datetime]:
    """Return the moment of each sale that took the last piece of a ware off the stall."""
    found = {}
    stall.update({code: n for (code, grade), n in weekend.packed.items() if grade == "first"})
    for sale in weekend.sales:
        for code, grade, pieces in sale.lines:
            if grade == "first":
                stall[code] -= pieces
                if not stall[code]:
                    found[code] = sale.at
    return found


def test_the_ledger_gives_back_the_moments_of_the_model(demo: Demo) -> None:
    """Each sell-out, weekend by weekend, to the second; no other."""
    stall: Counter[str] = Counter()
    for number, weekend in enumerate(season.draw(NOW.date()).weekends, start=1):
        moments = sell_outs(weekend, stall)
        assert len(moments) > 8
        for code, each in demo.told.items():
            # One tumbler was rung up as another: the ledger can't know the moment of either.
            if number > 1 or code not in model.WRONGLY_RUNG:
                assert each.stints[number].sold_out_at == moments.get(code), (code, number)


def test_nine_in_ten_intervals_hold_the_true_rate(demo: Demo) -> None:
    """Of thirty intervals of 90 per cent 27 should; 24 or more do so 97 times in a hundred."""
    inside = [
        low <= each.truth <= high
        for each in demo.told.values()
        for low, high in [each.belief.interval(0.9)]
    ]
    assert len(inside) == 30
    assert sum(inside) >= 24


def test_all_ware_together_are_expected_within_a_tenth_of_the_truth(demo: Demo) -> None:
    """Two weekends of about 200 pieces."""
    truth = sum(each.truth for each in demo.told.values())
    assert sum(each.belief.mean for each in demo.told.values()) == pytest.approx(truth, rel=0.1)


def test_the_coming_weekend_should_take_what_its_pieces_are_worth(demo: Demo) -> None:
    """Less than all that is asked for; later weekends by their crowd."""
    later = list(demo.summary.later.values())
    assert len(later) == 2
    assert later[1] / later[0] == pytest.approx(140 / 120, rel=1e-4)
    assert 0.6 * later[0] < demo.summary.takings < later[0]
    assert demo.summary.worst is not None
    assert demo.summary.worst.why.startswith("Sold out")


def test_where_too_little_is_brought_the_plain_count_is_further_off() -> None:
    """Twenty seasons with half of what is asked for: the plain count sees what was brought."""
    gone = [each for seed in range(20) for each in redrawn(seed, bring=0.5) if each.sold_out]
    plain = mean(each.plain - each.truth for each in gone)
    ours = mean(each.belief.mean - each.truth for each in gone)
    assert plain < -3
    assert abs(ours) < abs(plain) / 1.5


def test_weighing_hours_by_how_busy_they_are_brings_estimates_nearer() -> None:
    """Twenty seasons as the demo packs: a smaller error, against what makes the counts vary."""

    def error(*, weigh: bool) -> float:
        drawn = [each for seed in range(20) for each in redrawn(seed, bring=1.1, weigh=weigh)]
        return mean((each.belief.mean - each.truth) ** 2 / each.truth for each in drawn)

    assert error(weigh=True) < 0.95 * error(weigh=False)
