"""The tills of a weekend, counted at its end or night by night; what one weekend leaves the next.

The imprest principle is textbook (OpenStax, Principles of Accounting, volume 1, chapter 8): a
fund is counted, what is over its float is taken out, and the float begins the next day.
"""

import datetime

import pytest

from tests.closing.makers import (
    MONDAY,
    NEXT_SATURDAY,
    NEXT_SUNDAY,
    SATURDAY_NIGHT,
    SATURDAY_NOON,
    SUNDAY_NIGHT,
    SUNDAY_NOON,
    Stall,
)
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.checklist import Kind, still_open
from vendor.closing.errors import NothingToExplain, StillOpen
from vendor.closing.takings import carried, till_sheet
from vendor.fairs.errors import WeekendClosed
from vendor.house.errors import Refused
from vendor.ledger.errors import KeyReused
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
SATURDAY = SATURDAY_NOON.date()


@pytest.fixture
def pot(stall: Stall) -> Ware:
    """Forty pots to sell."""
    ware: Ware = WareFactory()
    stall.packs(ware, 40)
    return ware


@pytest.fixture
def busy(stall: Stall, pot: Ware) -> Stall:
    """Two tills over two days; the second has no float of its own but what the first gave it.

    First: 100 float + 60 on Saturday - 20 moved + 40 on Sunday = 180.
    Second: 20 moved + 30 on Saturday + 50 on Sunday = 100.
    """
    stall.opens_till()
    stall.cash("float", 100_00)
    stall.cash("paid_out", 20_00)
    stall.cash("paid_in", 20_00, till=2)
    stall.sells(pot, amount=60_00)
    stall.sells(pot, amount=30_00, till=2)
    stall.sells(pot, amount=40_00, at=SUNDAY_NOON)
    stall.sells(pot, amount=50_00, at=SUNDAY_NOON, till=2)
    return stall


def kinds(stall: Stall) -> list[Kind]:
    """What stands open of the cash."""
    items = still_open(stall.first, now=MONDAY)
    return [each.kind for each in items if each.kind is not Kind.UNCOUNTED]


def test_each_till_expects_what_went_through_it(busy: Stall) -> None:
    """Counted once, at the end of the weekend; together it is the weekend's cash."""
    first, second = till_sheet(busy.first).boxes
    assert (first.till.expected, second.till.expected) == (180_00, 100_00)
    assert till_sheet(busy.first).till.expected == 280_00
    busy.counts_cash(179_00)
    assert till_sheet(busy.first).over_short is None
    assert kinds(busy) == [Kind.CASH, Kind.CASH_REASON, Kind.NO_FLOAT]
    busy.counts_cash(101_50, till=2)
    sheet = till_sheet(busy.first)
    assert [box.over_short for box in sheet.boxes] == [-1_00, 1_50]
    assert (sheet.counted, sheet.over_short) == (280_50, 50)


def test_a_night_counted_begins_the_next_day_with_what_it_left(busy: Stall) -> None:
    """Saturday: 140 expected, 139 counted, 39 taken home: Sunday begins with 100, expects 140."""
    busy.counts_cash(139_00, day=SATURDAY, now=SATURDAY_NIGHT)
    busy.takes_out(39_00, day=SATURDAY)
    (first, _) = till_sheet(busy.first).boxes
    night, end = first.stretches
    assert (night.till.expected, night.over_short, night.left) == (140_00, -1_00, 100_00)
    assert (end.till.opening, end.till.expected) == (100_00, 140_00)
    busy.counts_cash(140_25)
    (first, _) = till_sheet(busy.first).boxes
    assert [each.over_short for each in first.stretches] == [-1_00, 25]
    # The whole weekend: 100 + 100 - 20 moved - 39 home = 141 expected, 140.25 counted.
    assert (first.till.expected, first.over_short) == (141_00, -75)


def test_what_comes_late_changes_the_night_it_belongs_to(busy: Stall, pot: Ware) -> None:
    """A sale of Saturday that is sent on Sunday; cash of Saturday that was written down late."""
    busy.counts_cash(140_00, day=SATURDAY, now=SATURDAY_NIGHT)
    busy.sells(pot, amount=8_00)
    busy.cash("paid_out", 2_00, day=SATURDAY, made_at=SUNDAY_NOON)
    busy.cash("paid_out", 1_00, made_at=SUNDAY_NOON)
    (first, _) = till_sheet(busy.first).boxes
    assert [each.till.paid_out for each in first.stretches] == [22_00, 1_00]
    assert first.stretches[0].over_short == -6_00


def test_every_count_that_differs_wants_its_own_reason(busy: Stall) -> None:
    """Saturday and Sunday that come out even between them are still two differences."""
    busy.counts_cash(141_00, day=SATURDAY, now=SATURDAY_NIGHT)
    busy.counts_cash(180_00)
    busy.counts_cash(100_00, till=2)
    assert kinds(busy) == [Kind.CASH_REASON, Kind.NO_FLOAT]
    busy.explains_cash("gave too little change", day=SATURDAY)
    busy.explains_cash("gave it back")
    assert kinds(busy) == [Kind.NO_FLOAT]
    assert till_sheet(busy.first).reason == (
        "Cash box, Saturday: gave too little change; Cash box: gave it back"
    )


def test_a_closing_writes_every_count_down(busy: Stall, pot: Ware) -> None:
    """Each with its own equation; together the weekend's; what was taken out last stands apart."""
    busy.counts_cash(139_00, day=SATURDAY, now=SATURDAY_NIGHT)
    busy.explains_cash("dropped", day=SATURDAY)
    busy.takes_out(39_00, day=SATURDAY)
    busy.counts_cash(140_00)
    busy.takes_out(40_00)
    busy.counts_cash(100_00, till=2)
    busy.counts(pot, 36)
    closing = busy.closes()
    rows = [(row.till, row.day, row.expected, row.over_short, row.left) for row in
            closing.cash_lines.all()]  # fmt: skip
    assert rows == [
        (1, SATURDAY, 140_00, -1_00, 100_00),
        (1, None, 140_00, 0, 100_00),
        (2, None, 100_00, 0, 100_00),
    ]
    assert (closing.paid_out, closing.paid_in) == (59_00, 20_00)
    assert (closing.cash_expected, closing.cash_counted) == (241_00, 240_00)
    assert (closing.over_short, closing.taken_out, closing.cash_left) == (-1_00, 40_00, 200_00)
    assert closing.cash_reason == "Cash box, Saturday: dropped"
    with pytest.raises(WeekendClosed):
        busy.takes_out(1_00)


def test_a_till_that_was_opened_and_never_used_is_not_asked_for(stall: Stall) -> None:
    """Nothing went through it, so there is nothing to count."""
    stall.opens_till()
    stall.cash("float", 100_00)
    stall.counts_cash(100_00)
    assert kinds(stall) == []
    assert [row.name for row in stall.closes().cash_lines.all()] == ["Cash box"]


@pytest.mark.parametrize(
    ("day", "now", "said"),
    [
        (SATURDAY + datetime.timedelta(days=1), SUNDAY_NIGHT, "no night to count"),
        (SATURDAY - datetime.timedelta(days=1), SUNDAY_NIGHT, "no night to count"),
        (SATURDAY, SATURDAY_NOON - datetime.timedelta(days=1), "yet to come"),
    ],
)
def test_only_a_night_before_the_last_is_counted(
    stall: Stall, day: datetime.date, now: datetime.datetime, said: str
) -> None:
    """The last night is the end of the weekend; what has not been can't be counted."""
    with pytest.raises(Refused, match=said):
        stall.counts_cash(1, day=day, now=now)
    with pytest.raises(Refused, match="no such cash box"):
        stall.counts_cash(1, till=21)


def test_a_count_sent_again_with_another_figure_is_refused(stall: Stall) -> None:
    """The same again is the same; a key says one thing."""
    said = {"key": "k", "weekend": stall.first, "saw": 0, "who": stall.owner, "now": SUNDAY_NIGHT}
    first = actions.count_cash(counted=5, **said)  # type: ignore[arg-type]
    assert actions.count_cash(counted=5, **said) == first  # type: ignore[arg-type]
    with pytest.raises(KeyReused):
        actions.count_cash(counted=6, **said)  # type: ignore[arg-type]


def test_no_more_is_taken_out_than_was_counted(stall: Stall) -> None:
    """Nor before anything was."""
    with pytest.raises(NothingToExplain):
        stall.takes_out(1)
    stall.counts_cash(50_00)
    stall.takes_out(30_00)
    with pytest.raises(Refused, match="only \\$20.00"):
        stall.takes_out(20_01)
    assert till_sheet(stall.first).over_short == 50_00


def test_the_next_weekend_begins_with_what_was_left_or_says_why(stall: Stall) -> None:
    """150 left, a correction of 2 more, a float of 120: 32 went out in between, to be explained."""
    stall.cash("float", 150_00)
    stall.counts_cash(150_00)
    closing = stall.closes()
    assert carried(stall.first, till_sheet(stall.first)) is None
    stall.cash("float", 120_00, weekend=stall.second, made_at=NEXT_SATURDAY, reason="")
    actions.amend_closing(
        key="a", closing=closing, reason="found in the lid", cash=2_00, who=stall.owner,
        now=NEXT_SATURDAY,
    )  # fmt: skip
    between = carried(stall.second, till_sheet(stall.second))
    assert between is not None
    assert (between.number, between.left, between.gone, between.is_open) == (1, 152_00, 32_00, True)
    stall.counts_cash(120_00, weekend=stall.second)
    with pytest.raises(StillOpen, match=r"left \$152.00 in the till, and this weekend began"):
        stall.closes(weekend=stall.second, now=NEXT_SUNDAY, confirmed=False)
    said = {"weekend": stall.second, "who": stall.owner, "now": NEXT_SUNDAY}
    said_so = actions.explain_carried(key="c", reason="to the bank", **said)  # type: ignore[arg-type]
    assert actions.explain_carried(key="c", reason="to the bank", **said) == said_so  # type: ignore[arg-type]
    with pytest.raises(KeyReused):
        actions.explain_carried(key="c", reason="to the shop", **said)  # type: ignore[arg-type]
    second = stall.closes(weekend=stall.second, now=NEXT_SUNDAY, confirmed=False)
    assert (second.cash_before, second.carried, second.carried_reason) == (
        152_00, -32_00, "to the bank",
    )  # fmt: skip


def test_a_float_that_says_where_it_came_from_explains_itself(stall: Stall) -> None:
    """And one that is what was left needs no word."""
    stall.cash("float", 150_00)
    stall.counts_cash(150_00)
    stall.closes()
    stall.cash("float", 100_00, weekend=stall.second, made_at=NEXT_SATURDAY, reason="bank took 50")
    between = carried(stall.second, till_sheet(stall.second))
    assert between is not None
    assert between.reason == "bank took 50"
    stall.cash("float", 50_00, weekend=stall.second, till=2, reason="", made_at=NEXT_SATURDAY)
    between = carried(stall.second, till_sheet(stall.second))
    assert between is not None
    assert (between.difference, between.is_open) == (0, False)
