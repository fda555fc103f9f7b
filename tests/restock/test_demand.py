"""Estimating a season: each ware's own weekends, steadied by all."""

import subprocess
import sys

import pytest

from vendor.restock.demand import estimate_season, learn
from vendor.restock.prior import ANCHOR, Anchor
from vendor.restock.quantities import quantity_for
from vendor.restock.rates import Gamma
from vendor.restock.records import Ending, Record, Tally

FULL = Record(1, 4, 12, 12)


def season() -> dict[int, list[Record]]:
    """Ten ware with 0 to 9 sold in a full weekend each."""
    return {ware: [Record(1, ware, 12, 12)] for ware in range(10)}


def test_ware_without_weekends_gets_the_prior_itself() -> None:
    """New ware is thought of as all the others are."""
    found = estimate_season({**season(), 99: []})
    assert found.estimates[99].rate == found.prior.gamma
    assert found.prior.ware == 10


def test_estimates_are_drawn_together() -> None:
    """The slowest is thought faster than it was, the fastest slower, in unchanged order."""
    found = estimate_season(season())
    means = [found.estimates[ware].rate.mean for ware in range(10)]
    assert means == sorted(means)
    assert means[0] > 0
    assert means[9] < 9
    assert found.prior.gamma.mean == pytest.approx(4.5, rel=0.1)


def test_the_same_sales_before_a_sell_out_mean_more() -> None:
    """Left over < sold out at some hour nobody knows < sold out after a third of the hours."""
    others = season()
    means = []
    for record in (
        Record(1, 6, 12, 12),
        Record(1, 6, 12, 12, ending=Ending.SOLD_OUT_UNKNOWN),
        Record(1, 6, 4, 12, ending=Ending.SOLD_OUT),
    ):
        means.append(estimate_season({**others, 50: [record]}).estimates[50].rate.mean)
    assert means[0] < means[1] < means[2]


def test_earlier_fairs_shape_the_prior_only() -> None:
    """A first fair after a busy one expects more of new ware than one after nothing."""
    busy = [[Record(1, sold, 12, 12)] for sold in (10, 14, 20, 25, 31)]
    fresh, after = estimate_season({1: []}), estimate_season({1: []}, earlier=busy)
    assert fresh.estimates[1].rate == ANCHOR.gamma
    assert after.estimates[1].rate.mean > 10
    assert set(after.estimates) == {1}


def test_an_anchor_of_ones_own_takes_the_place_of_the_usual() -> None:
    """The potter's own guess holds while there is nothing to go by."""
    found = estimate_season({1: []}, anchor=Anchor(mean=8))
    assert found.estimates[1].rate.mean == pytest.approx(8)


def test_a_coming_weekend_by_its_exposure() -> None:
    """A weekend half as busy again asks for half as much again; two ask for twice as much."""
    estimate = estimate_season(season()).estimates[5]
    usual = estimate.weekend().mean
    assert estimate.weekend(1.5).mean == pytest.approx(1.5 * usual)
    assert estimate.weekend(2.0).mean == pytest.approx(2 * usual)
    # One rate for both: surer to be enough apart takes more than surer together.
    assert quantity_for(estimate.weekend(2.0), 0.9) <= 2 * quantity_for(estimate.weekend(), 0.9)


def test_the_same_season_gives_the_same_numbers() -> None:
    """No chance is involved."""
    assert estimate_season(season()) == estimate_season(season())


def test_learning_from_known_hours_is_conjugate() -> None:
    """Bayes Rules!, ch. 5: Gamma(10, 2) and 11 in 4 is Gamma(21, 6)."""
    assert learn(Gamma(10, 2), Tally(11, 4.0)) == Gamma(21, 6)


def test_the_core_loads_without_django_and_before_scipy() -> None:
    """Importing every pure module loads neither the web framework nor the slow library."""
    modules = "censored,demand,exposure,loading,prior,quantities,rates,reason,records"
    program = "import importlib, sys\n"
    program += (
        f"for each in '{modules}'.split(','): importlib.import_module('vendor.restock.' + each)\n"
    )
    program += "print(sorted({'django', 'scipy', 'numpy'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
