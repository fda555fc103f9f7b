"""Draws the demonstration season from the model: what was fired, packed, asked for and sold.

Pure: no tables, no clock. The random numbers come from the standard library's generator, whose
stream is the same on every Python, so the same day gives the same season everywhere.
"""

import datetime
import math
import random
from collections import defaultdict
from dataclasses import dataclass, field

from vendor.demo import model

OPENS = datetime.time(10)
CAUSES = ("cracked", "glaze_ran", "crawled", "warped", "stuck")


@dataclass(frozen=True, slots=True)
class FiredLine:
    """What one firing did to one ware (pieces)."""

    ware: str
    loaded: int
    firsts: int
    seconds: int
    losses: dict[str, int]


@dataclass(frozen=True, slots=True)
class Fired:
    """One glaze firing."""

    fired_on: datetime.date
    unloaded_on: datetime.date | None
    kiln: int
    lines: list[FiredLine]


@dataclass(frozen=True, slots=True)
class Sold:
    """One sale: when, what (ware, grade, pieces), and whether by card."""

    at: datetime.datetime
    lines: list[tuple[str, str, int]]
    by_card: bool


@dataclass(slots=True)
class Weekend:
    """One weekend as it went: what was packed, asked for and sold."""

    saturday: datetime.date
    crowd: int
    packed: dict[tuple[str, str], int] = field(default_factory=dict)
    sales: list[Sold] = field(default_factory=list)
    asked: dict[str, int] = field(default_factory=dict)
    sold_out_at: dict[str, datetime.datetime] = field(default_factory=dict)
    left: dict[tuple[str, str], int] = field(default_factory=dict)


@dataclass(slots=True)
class Season:
    """The whole season up to the day it is drawn for."""

    today: datetime.date
    firings: list[Fired]
    weekends: list[Weekend]
    to_come: list[Weekend]
    shelf: dict[tuple[str, str], int]


def ware() -> list[tuple[str, str, str]]:
    """Return the studio's ware as (code, form code, finish code)."""
    return [
        (f"{form}-{finish}", form, finish)
        for form, finishes in model.MADE_IN.items()
        for finish in finishes
    ]


def draw(today: datetime.date) -> Season:
    """Return the season as it stands on a day, two weekends sold and the third coming."""
    rng = random.Random(model.SEED)  # noqa: S311 - an invented season, not a secret
    saturdays = model.saturdays(today)
    firings = _firings(rng, saturdays[2], today)
    weekends = [
        Weekend(saturday, crowd) for saturday, crowd in zip(saturdays, model.CROWD, strict=True)
    ]
    shelf: dict[tuple[str, str], int] = defaultdict(int)
    stall: dict[tuple[str, str], int] = defaultdict(int)
    waiting = [firing for firing in firings if firing.unloaded_on]
    number = 0
    for weekend in weekends[:2]:
        while waiting and _unloaded(waiting[0]) < weekend.saturday:
            number += 1
            _put_up(waiting.pop(0), number, shelf)
        _pack(weekend, shelf, stall)
        _sell(rng, weekend, stall)
    for firing in waiting:
        number += 1
        _put_up(firing, number, shelf)
    for code, pieces, _ in (*model.EARLY, *model.ONLINE):
        shelf[code, "first"] -= pieces
    return Season(today, firings, weekends[:2], weekends[2:], dict(shelf))


def _unloaded(firing: Fired) -> datetime.date:
    assert firing.unloaded_on is not None
    return firing.unloaded_on


def _firings(rng: random.Random, third: datetime.date, today: datetime.date) -> list[Fired]:
    firings = []
    for number, days in enumerate(model.FIRED_BEFORE):
        early = number < 4
        lines = []
        for index, (code, form, finish) in enumerate(ware()):
            if index % 2 != number % 2:
                continue
            share = model.EARLY_LOAD if early else model.LATE_LOAD
            loaded = max(2, round(model.rate(form, finish) * share))
            lines.append(_fire(rng, code, form, loaded))
        unloaded = third - datetime.timedelta(days=model.UNLOADED_BEFORE[number])
        firings.append(Fired(third - datetime.timedelta(days=days), unloaded, 0, lines))
    cooling = [FiredLine(f"THI-{finish}", 14, 0, 0, {}) for finish in ("TEN", "CEL", "SHI", "MAT")]
    firings.append(Fired(today - datetime.timedelta(days=1), None, 1, cooling))
    return firings


def _fire(rng: random.Random, code: str, form: str, loaded: int) -> FiredLine:
    """Let each piece come out as a first, a second or a loss with its cause."""
    loss = model.LOSS_PERCENT.get(form, model.LOSS_PERCENT_OTHERWISE) / 100
    seconds, losses = 0, defaultdict[str, int](int)
    for _ in range(loaded):
        luck = rng.random()
        if luck < loss:
            losses[rng.choice(CAUSES)] += 1
        elif luck < loss + model.SECOND_PERCENT / 100:
            seconds += 1
    firsts = loaded - seconds - sum(losses.values())
    return FiredLine(code, loaded, firsts, seconds, dict(losses))


def _put_up(firing: Fired, number: int, shelf: dict[tuple[str, str], int]) -> None:
    """Stand a firing on the shelf, and take away what is promised out of it."""
    for line in firing.lines:
        shelf[line.ware, "first"] += line.firsts
        shelf[line.ware, "second"] += line.seconds
    for _, code, after, _, _ in model.PROMISES:
        if after == number:
            shelf[code, "first"] -= 1


def _pack(
    weekend: Weekend, shelf: dict[tuple[str, str], int], stall: dict[tuple[str, str], int]
) -> None:
    """Fill the stall up to what the weekend may ask for, as far as the shelf has it."""
    for code, form, finish in ware():
        wanted = math.ceil(model.rate(form, finish) * weekend.crowd / 100 * model.BRING)
        take = min(max(0, wanted - stall[code, "first"]), shelf[code, "first"])
        for grade, quantity in (("first", take), ("second", shelf[code, "second"])):
            if quantity > 0:
                weekend.packed[code, grade] = quantity
                shelf[code, grade] -= quantity
                stall[code, grade] += quantity


def _sell(rng: random.Random, weekend: Weekend, stall: dict[tuple[str, str], int]) -> None:
    asked: list[tuple[datetime.datetime, str, str]] = []
    for code, form, finish in ware():
        expected = model.rate(form, finish) * weekend.crowd / 100
        moments = _poisson(rng, expected)
        weekend.asked[code] = len(moments)
        asked += [(_clock(weekend.saturday, moment), code, "first") for moment in moments]
        for _ in range(stall[code, "second"]):
            if rng.random() < 0.5:
                asked.append((_clock(weekend.saturday, rng.random()), code, "second"))
    for at, code, grade in sorted(asked):
        if stall[code, grade] == 0:
            continue
        stall[code, grade] -= 1
        if stall[code, grade] == 0 and grade == "first":
            weekend.sold_out_at[code] = at
        together = weekend.sales and rng.random() < model.SAME_SALE
        if together and weekend.sales[-1].at.date() == at.date():
            weekend.sales[-1].lines.append((code, grade, 1))
        else:
            by_card = rng.random() < model.CARD_SHARE
            weekend.sales.append(Sold(at, [(code, grade, 1)], by_card))
    weekend.left = {spot: quantity for spot, quantity in stall.items() if quantity}


def _poisson(rng: random.Random, expected: float) -> list[float]:
    """Return the moments of a Poisson process of this expected count over the unit interval."""
    moments: list[float] = []
    at = 0.0
    while True:
        at += rng.expovariate(expected)
        if at >= 1:
            return moments
        moments.append(at)


def _clock(saturday: datetime.date, share: float) -> datetime.datetime:
    """Turn a share of the weekend's asking into the wall-clock moment at which it falls."""
    sunday = share >= model.SATURDAY_SHARE
    if sunday:
        part = (share - model.SATURDAY_SHARE) / (1 - model.SATURDAY_SHARE)
    else:
        part = share / model.SATURDAY_SHARE
    left, hour = part * sum(model.HOUR_WEIGHT), 0
    while hour < len(model.HOUR_WEIGHT) - 1 and left >= model.HOUR_WEIGHT[hour]:
        left -= model.HOUR_WEIGHT[hour]
        hour += 1
    seconds = int((hour + min(left / model.HOUR_WEIGHT[hour], 0.999)) * 3600)
    day = saturday + datetime.timedelta(days=1 if sunday else 0)
    return datetime.datetime.combine(day, OPENS) + datetime.timedelta(seconds=seconds)
