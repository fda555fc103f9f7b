"""How busy each hour is, learned from ware that was left over."""

import datetime
from random import Random

import pytest

from tests.restock.test_presence import FRIDAY, LATER, on, weekend
from vendor.restock.presence import Event, Selling, stints
from vendor.restock.rhythm import STEADY, Rhythm, learn

HOURS = [(day, hour) for day in (0, 1) for hour in range(10, 17)]


def learned(*wares: list[Event]) -> Rhythm:
    """Return the rhythm of one weekend in which these ware were sold."""
    weekends = [weekend()]
    events = dict(enumerate(wares))
    told = {ware: stints(each, weekends, until=LATER) for ware, each in events.items()}
    return learn(weekends, told, events)


def ware(stock: int, *moments: datetime.datetime) -> list[Event]:
    """Return a ware brought on Friday and sold piece by piece."""
    return [Event(FRIDAY, stock), *(Event(at, -1, 1) for at in sorted(moments))]


def test_without_sales_every_hour_is_like_any_other() -> None:
    """Shares are those of the hours."""
    rhythm = learned()
    assert rhythm.share(weekend(), [(34.0, 41.0)]) == 0.5
    assert rhythm == Rhythm()


def test_fourteen_sold_in_one_hour_of_fourteen_pull_it_by_the_steadied_count() -> None:
    """One would be sold in each hour at an even pace: (14 + 5) / (1 + 5), the others 5 / 6."""
    rhythm = learned(ware(20, *[on(1, 12.5)] * 14))
    assert STEADY == 5
    assert rhythm.pull[0, 12] == pytest.approx(19 / 6)
    others = [rhythm.pull[hour] for hour in HOURS if hour != (0, 12)]
    assert others == pytest.approx([5 / 6] * 13)
    assert rhythm.worth([(12.5, 13.5)]) == pytest.approx(0.5 * 19 / 6 + 0.5 * 5 / 6)


def test_ware_that_sold_out_or_came_late_has_no_say() -> None:
    """Its last hours were not watched."""
    gone = ware(3, *[on(1, 11)] * 3)
    late = [Event(on(1, 15), 9), *[Event(on(1, 16), -1, 1)] * 5]
    assert learned(gone, late) == Rhythm()


def test_a_busy_hour_counts_for_more_and_the_whole_is_one() -> None:
    """Up to one o'clock on the first day, of a fair that is busy at noon."""
    rhythm = learned(ware(40, *[on(1, 12.5)] * 20, *[on(2, 15)] * 10))
    assert rhythm.share(weekend(), [(10.0, 13.0)]) > 3 / 14
    assert rhythm.share(weekend(), [(10.0, 17.0), (34.0, 41.0)]) == 1


def test_what_is_still_to_come_is_weighed_too() -> None:
    """Half of the hours on Saturday evening; all before, nothing after."""
    flat, first_day = Rhythm(), learned(ware(40, *[on(1, 12.5)] * 30))
    assert [flat.left(weekend(), on(*at)) for at in ((1, 9), (1, 20), (2, 20))] == [1, 0.5, 0]
    assert first_day.left(weekend(), on(1, 20)) < 0.4


def test_a_day_with_other_hours_is_learned_by_its_own_clock() -> None:
    """A late opening that was never seen before counts as an hour like any other."""
    rhythm = learned(ware(20, *[on(1, 12.5)] * 14))
    night = Selling(2, ((on(8, 18), on(8, 20)),))
    assert rhythm.share(night, [(18.0, 19.0)]) == 0.5


def test_drawn_moments_give_their_rhythm_back() -> None:
    """Twelve hundred pieces of forty ware at a known pace, nothing sold out."""
    truth = dict(zip(HOURS, (1, 2, 3, 2, 1, 1, 1, 1, 1, 2, 2, 1, 1, 1), strict=True))
    rng = Random(7)
    drawn = [
        ware(
            99,
            *[
                on(day + 1, hour + rng.random())
                for day, hour in rng.choices(HOURS, [*truth.values()], k=30)
            ],
        )
        for _ in range(40)
    ]
    rhythm, even = learned(*drawn), sum(truth.values()) / len(HOURS)
    for hour in HOURS:
        assert rhythm.pull[hour] == pytest.approx(truth[hour] / even, rel=0.35)
