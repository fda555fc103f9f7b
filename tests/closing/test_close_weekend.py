"""Closing a weekend: what it writes, what it refuses, in what order."""

import datetime

import pytest

from tests.closing.makers import (
    MONDAY,
    NEXT_SATURDAY,
    NEXT_SUNDAY,
    SATURDAY_NOON,
    SUNDAY_NIGHT,
    Stall,
)
from tests.factories import PriceFactory, WareFactory, shelf
from tests.fairs.makers import at
from vendor.closing import actions
from vendor.closing.checklist import Kind, still_open
from vendor.closing.errors import StillOpen
from vendor.closing.models import Closing
from vendor.closing.takings import till_sheet
from vendor.counter import actions as counter
from vendor.counter.models import Unsettled
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Line
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 each."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


def kinds(stall: Stall, now: datetime.datetime = SUNDAY_NIGHT) -> list[Kind]:
    return [item.kind for item in still_open(stall.first, now=now)]


def test_a_weekend_worked_by_hand(stall: Stall) -> None:
    """10 + 1 + 0 − 5 − 2 − 1 − 1 − 1 = 1; one counted. 50 + 170 + 5 − 34 + 20 − 12.50 = 198.50."""
    ware = WareFactory()
    stall.packs(ware, 10)
    sale = stall.sells(ware, 5, amount=170_00, tip=5_00)
    stall.refunds(sale, 34_00, ware)
    for to in ("broken", "given", "traded", "own_use"):
        stall.loses(ware, 1, to)
    stall.cash("float", 50_00)
    stall.cash("paid_in", 20_00)
    stall.cash("paid_out", 12_50)
    stall.counts(ware, 2)
    stall.counts_cash(198_50)
    closing = stall.closes()
    line = closing.lines.get()
    assert (line.packed_in, line.taken_back, line.sold) == (10, 1, 5)
    assert (line.broken, line.given, line.traded, line.own_use) == (1, 1, 1, 1)
    assert (line.expected, line.counted, line.variance) == (2, 2, 0)
    assert (closing.cash_expected, closing.over_short, closing.correction) == (198_50, 0, None)
    assert audit() == []


def test_a_variance_is_entered_with_its_reason(stall: Stall, tumbler: Ware) -> None:
    """One missing: the ledger is corrected under the weekend's own day, the reason is kept."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone while packing up")
    stall.counts_cash(109_40)
    closing = stall.closes(now=MONDAY)
    line = closing.lines.get()
    assert (line.variance, line.reason, line.price) == (-1, "gone while packing up", 34_00)
    assert closing.correction is not None
    assert closing.correction.day == stall.first.last_day
    assert at(stall.place, tumbler) == 6
    assert audit() == []


def test_closing_twice_answers_the_first_statement(stall: Stall, tumbler: Ware) -> None:
    """Whatever key it comes with: one statement, one correction."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone")
    stall.counts_cash(109_40)
    first = stall.closes(key="k")
    assert stall.closes(key="k") == stall.closes(key="other") == first
    assert Closing.objects.count() == 1
    assert Entry.objects.filter(kind="correction").count() == 1


def test_everything_that_stands_open_is_named(stall: Stall, tumbler: Ware) -> None:
    """Uncounted ware and cash, sales to be settled, an empty float, a weekend that still runs."""
    Unsettled.objects.create(
        key="u", document={}, weekend=stall.first, why="ware", reason="unknown ware",
        received_at=SATURDAY_NOON, sent_by=stall.owner,
    )  # fmt: skip
    assert kinds(stall, SATURDAY_NOON) == [
        Kind.UNSETTLED, Kind.UNCOUNTED, Kind.CASH, Kind.NO_FLOAT, Kind.NOT_OVER,
    ]  # fmt: skip
    with pytest.raises(StillOpen, match="One entry waits to be settled. Not counted yet: Form"):
        stall.closes()
    assert Closing.objects.count() == 0


def test_differences_without_a_reason_stand_open(stall: Stall, tumbler: Ware) -> None:
    """For pots and for money; with reasons nothing stands in the way."""
    stall.cash("float", 50_00)
    stall.counts(tumbler, 8)
    stall.counts_cash(159_41)
    assert kinds(stall) == [Kind.UNEXPLAINED, Kind.CASH_REASON]
    stall.explains(tumbler, "one more was packed than listed")
    actions.explain_cash(
        key="e", weekend=stall.first, reason="a cent found", who=stall.owner, now=SUNDAY_NIGHT
    )
    assert kinds(stall) == []
    closing = stall.closes(confirmed=False)
    assert (closing.over_short, closing.cash_reason) == (1, "a cent found")


def test_what_a_yes_is_enough_for_needs_the_yes(stall: Stall, tumbler: Ware) -> None:
    """A weekend that is not over, or a till without a float, closes only when confirmed."""
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    with pytest.raises(StillOpen, match="No float was entered.*not over before the end of Sunday"):
        stall.closes(now=SATURDAY_NOON, confirmed=False)
    assert stall.closes(now=SATURDAY_NOON, confirmed=True).number == 1


def test_weekends_close_in_their_order(stall: Stall, tumbler: Ware) -> None:
    """The second can't be closed before the first."""
    stall.counts_cash(0, weekend=stall.second)
    with pytest.raises(StillOpen, match="Weekend 1 comes first"):
        stall.closes(weekend=stall.second, now=NEXT_SUNDAY)


def test_a_helper_closes_nothing(stall: Stall, helper: User) -> None:
    """Counting is everybody's, closing the owner's."""
    with pytest.raises(Refused, match="closed by the owner"):
        stall.closes(who=helper)


def test_an_opening_is_the_closing_before(stall: Stall, tumbler: Ware) -> None:
    """What stood when it was closed opens the next weekend; a late entry is on the next."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone")
    stall.counts_cash(109_40)
    stall.closes(now=MONDAY)
    stall.sells(tumbler, 2, at=NEXT_SATURDAY, amount=72_93)
    stall.counts(tumbler, 4, weekend=stall.second)
    stall.counts_cash(72_93, weekend=stall.second)
    second = stall.closes(weekend=stall.second, now=NEXT_SUNDAY)
    line = second.lines.get()
    assert (line.opening, line.sold, line.variance) == (6, 2, 0)
    assert (second.number, second.after) == (2, stall.first.last_day)
    assert second.cash_sales == 72_93


def test_what_moved_after_the_weekend_does_not_disturb_its_count(
    stall: Stall, tumbler: Ware
) -> None:
    """On Monday two went home before it was closed: they belong to the days after."""
    ledger.move(
        key="m", lines=[Line(tumbler.pk, 2)], source=stall.place, target=shelf(), who=stall.owner,
        now=MONDAY,
    )  # fmt: skip
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone")
    stall.counts_cash(109_40)
    stall.closes(now=MONDAY)
    assert at(stall.place, tumbler) == 4
    line = stall.line(tumbler, weekend=stall.second)
    assert line is not None
    assert (line.pots.opening, line.pots.returned, line.expected) == (6, 2, 4)


def test_cards_and_other_ways_stand_apart_from_the_till(stall: Stall, tumbler: Ware) -> None:
    """A card's money, its tips and what went back on it never touch the cash."""
    sale = stall.sells(tumbler, 1, amount=36_47, method="card", tip=2_00)
    stall.sells(tumbler, 1, amount=10_00, method="other")
    stall.refunds(sale, 36_47, tumbler, method="card")
    sheet = till_sheet(stall.first)
    assert (sheet.card.sales, sheet.card.tips, sheet.card.refunds) == (36_47, 2_00, 36_47)
    assert sheet.card.total == 2_00
    assert sheet.other.total == 10_00
    assert sheet.till.expected == 109_40


def test_an_empty_weekend_closes(stall: Stall) -> None:
    """It rained, nobody went: a statement of noughts."""
    stall.counts_cash(0)
    closing = stall.closes()
    assert (closing.cash_expected, closing.lines.count()) == (0, 0)


def test_a_sale_rung_up_by_mistake_is_undone_under_its_own_day(stall: Stall, tumbler: Ware) -> None:
    """Undone on Monday, before the closing: Sunday's count then agrees, and so does the till."""
    wrong = stall.sells(tumbler, 1, amount=36_47)
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    counter.undo_sale(key="v", sale=wrong, reason="rung up twice", who=stall.owner, now=MONDAY)
    line = stall.line(tumbler)
    assert line is not None
    assert (line.pots.sold, line.variance) == (3, 0)
    closing = stall.closes(now=MONDAY)
    assert (closing.cash_sales, closing.over_short) == (109_40, 0)
    assert at(stall.place, tumbler) == 7
