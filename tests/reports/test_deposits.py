"""Deposits in the report of takings: money that came, and no turnover before the piece is sold."""

import pytest
from django.core.management import call_command
from django.test import Client

from tests.counter.commissions import at, cancelled, handed_over, held, key, taken
from tests.counter.stalls import NOW, SATURDAY, Stall
from vendor.counter import actions, deposits
from vendor.counter.figures import Method
from vendor.counter.intake import take_in
from vendor.counter.models import Deposit
from vendor.counter.rung import Paid
from vendor.reports import queries
from vendor.supporters.models import Commitment

WEEK = SATURDAY.replace(day=12)
Kind = Deposit.Kind


@pytest.fixture
def stall(db: None) -> Stall:
    """Oxmere Mill on its third Saturday."""
    return Stall()


def row(stall: Stall, number: int) -> queries.WeekendRow:
    rows = queries.by_weekend(stall.fair)
    return next(each for each in rows if each.weekend.number == number)


def test_money_that_came_is_turnover_and_deposits_and_what_was_kept(stall: Stall) -> None:
    """36.47 sold in cash; deposits 20 cash, 30 card, 40 card: 30 paid back, 40 kept.

    Cash 56.47, cards 40.00; turnover 36.47, 20.00 held, 40.00 kept: 96.47 either way.
    """
    take_in(raws=[stall.document()], who=stall.owner, now=NOW)
    taken(stall)
    cancelled(stall, taken(stall, 3000, Method.CARD).commitment, Kind.PAID_BACK, Method.CARD)
    cancelled(stall, taken(stall, 4000, Method.CARD).commitment, Kind.KEPT)
    third = row(stall, 3)
    assert (third.cash, third.card, third.other) == (5647, 4000, 0)
    assert (third.total, third.deposits, third.kept) == (3647, 2000, 4000)
    assert third.cash + third.card == third.total + third.deposits + third.kept
    assert deposits.held() == 2000


def test_a_deposit_becomes_turnover_in_the_weekend_of_the_handing_over(stall: Stall) -> None:
    """20.00 came in the third, 70.00 in the fourth, whose turnover is the whole 90.00."""
    promise = held(stall, taken(stall))
    later = at(stall, weekend=stall.next_weekend, day=WEEK)
    handed_over(stall, promise, at=later, payment=Paid(method=Method.CARD))
    third, fourth = row(stall, 3), row(stall, 4)
    assert (third.cash, third.total, third.deposits) == (2000, 0, 2000)
    assert (fourth.card, fourth.total, fourth.deposits) == (7000, 9000, -2000)
    assert (fourth.pieces, third.pieces, deposits.held()) == (1, 0, 0)


def test_an_undone_handing_over_is_a_deposit_again(stall: Stall) -> None:
    """Held for the customer as before."""
    sale = handed_over(stall, held(stall, taken(stall)))
    actions.undo_sale(key=key(), sale=sale, reason="wrong", who=stall.owner, now=NOW)
    assert (row(stall, 3).total, row(stall, 3).deposits, deposits.held()) == (0, 2000, 2000)


def test_the_page_shows_deposits_only_where_there_are_any(stall: Stall, client: Client) -> None:
    """The till's page lists them, and says what is held in all."""
    client.force_login(stall.owner)
    assert "Deposits held" not in client.get("/reports/").content.decode()
    taken(stall)
    assert "Deposits held" in client.get("/reports/").content.decode()


def test_the_audit_finds_a_commission_that_does_not_add_up(
    stall: Stall, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its paid figure, and its sale."""
    promise = held(stall, taken(stall))
    handed_over(stall, promise)
    assert deposits.audit_deposits() == []
    Commitment.objects.filter(pk=promise.pk).update(paid=1999)
    [drift] = deposits.audit_deposits()
    assert (drift.recorded, drift.rebuilt) == (1999, 2000)
    with pytest.raises(SystemExit):
        call_command("audit")
    assert "paid in advance" in capsys.readouterr().out
