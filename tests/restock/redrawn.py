"""Seasons drawn anew from the demonstration's model, without a database: the truth is known."""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from statistics import mean

import pytest

from vendor.demo import model, season
from vendor.restock.demand import estimate_season
from vendor.restock.presence import Event, Selling, Stint, stints
from vendor.restock.rates import Gamma
from vendor.restock.rhythm import learn

TODAY = datetime.date(2026, 12, 2)
NOON = datetime.time(12)
DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Told:
    """One ware: its true rate, what is believed of it, and its weekends."""

    truth: float
    belief: Gamma
    stints: dict[int, Stint]

    @property
    def plain(self) -> float:
        """The plain count: sold in a weekend, as an ordinary one, sell-outs or not."""
        return mean(each.record.sold / each.record.crowd_factor for each in self.stints.values())

    @property
    def sold_out(self) -> bool:
        """Whether it ever did."""
        return any(each.sold_out_at for each in self.stints.values())


def redrawn(seed: int, *, bring: float, weigh: bool = True) -> list[Told]:
    """Draw two weekends with another seed and another habit of packing, and estimate them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(model, "SEED", seed)
        patch.setattr(model, "BRING", bring)
        drawn = season.draw(TODAY)
    weekends = [_selling(number, each) for number, each in enumerate(drawn.weekends, start=1)]
    events = _events(drawn.weekends)
    now = datetime.datetime.combine(TODAY, NOON)
    told = {code: stints(each, weekends, until=now) for code, each in enumerate_codes(events)}
    if weigh:
        rhythm = learn(weekends, told, dict(enumerate_codes(events)))
        told = {
            ware: {
                number: rhythm.weigh(weekends[number - 1], stint) for number, stint in its.items()
            }
            for ware, its in told.items()
        }
    found = estimate_season({w: [s.record for s in its.values()] for w, its in told.items()})
    codes = sorted(events)
    return [
        Told(model.rate(*codes[ware].split("-")), found.estimates[ware].rate, its)
        for ware, its in told.items()
    ]


def enumerate_codes(events: dict[str, list[Event]]) -> list[tuple[int, list[Event]]]:
    """Number the ware in the order of their codes."""
    return list(enumerate(events[code] for code in sorted(events)))


def _selling(number: int, weekend: season.Weekend) -> Selling:
    opens = [
        datetime.datetime.combine(weekend.saturday + day * DAY, season.OPENS) for day in (0, 1)
    ]
    hours = datetime.timedelta(hours=len(model.HOUR_WEIGHT))
    return Selling(number, tuple((each, each + hours) for each in opens), weekend.crowd / 100)


def _events(weekends: list[season.Weekend]) -> dict[str, list[Event]]:
    events: dict[str, list[Event]] = defaultdict(list)
    for weekend in weekends:
        friday = datetime.datetime.combine(weekend.saturday - DAY, NOON)
        for (code, grade), pieces in weekend.packed.items():
            if grade == "first":
                events[code].append(Event(friday, pieces))
        for sale in weekend.sales:
            for code, grade, pieces in sale.lines:
                if grade == "first":
                    events[code].append(Event(sale.at, -pieces, pieces))
    return events
