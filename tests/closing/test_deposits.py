"""Deposits on commissions in a weekend's money: in the till that took them, beside the cards."""

import pytest

from tests.closing.makers import SATURDAY_NOON, SUNDAY_NOON, Stall
from tests.closing.test_cards import compared
from tests.factories import FormFactory
from vendor.closing.pages import statement
from vendor.closing.statement_sheet import as_sheet
from vendor.closing.takings import till_sheet
from vendor.counter import commissions
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import Deposit
from vendor.house.models import Studio, new_key
from vendor.supporters.models import Commitment

pytestmark = pytest.mark.django_db


def ordered(stall: Stall, amount: int, method: Method, *, till: int = 1) -> Commitment:
    """Take a commission at 200.00 with a deposit on Saturday."""
    taken = commissions.take_commission(
        key=new_key(), at=At(weekend=stall.first, moment=SATURDAY_NOON, till=till),
        ordered=commissions.Ordered(
            name="Robin Lark", price=200_00, form=FormFactory(name=f"Platter {new_key()[:4]}")
        ),
        deposit=commissions.Received(method=method, amount=amount), who=stall.owner,
        now=SATURDAY_NOON,
    )  # fmt: skip
    return taken.commitment


def given_back(stall: Stall, promise: Commitment, method: Method | None) -> None:
    """Cancel it on Sunday; without a way to pay it back, the deposit is kept."""
    kind = Deposit.Kind.PAID_BACK if method else Deposit.Kind.KEPT
    commissions.cancel(
        key=new_key(), promise=promise, ending=commissions.Ending(kind=kind, method=method),
        reason="moved away", at=At(weekend=stall.first, moment=SUNDAY_NOON), who=stall.owner,
        now=SUNDAY_NOON,
    )  # fmt: skip


@pytest.fixture
def deposits(stall: Stall) -> Stall:
    """Float 100; deposits 50 and 30 in cash, 40 by card; 30 back in cash, 40 kept, 20 other."""
    stall.cash("float", 100_00)
    ordered(stall, 50_00, Method.CASH)
    given_back(stall, ordered(stall, 30_00, Method.CASH), Method.CASH)
    given_back(stall, ordered(stall, 40_00, Method.CARD), None)
    ordered(stall, 20_00, Method.OTHER)
    return stall


def test_deposits_in_cash_are_expected_in_the_till(deposits: Stall) -> None:
    """100 + 50 + 30 - 30 = 150; what is kept changes no hands."""
    sheet = till_sheet(deposits.first)
    till = sheet.till
    assert (till.deposits, till.deposits_back, till.expected) == (80_00, 30_00, 150_00)
    assert (till.sales, sheet.card.total, sheet.other.total) == (0, 40_00, 20_00)


def test_a_deposit_is_in_the_box_that_took_it(stall: Stall) -> None:
    """Each cash box is counted for itself."""
    stall.opens_till()
    ordered(stall, 50_00, Method.CASH, till=2)
    assert [box.end.till.expected for box in till_sheet(stall.first).boxes] == [0, 50_00]


def test_the_statement_holds_the_deposits(deposits: Stall) -> None:
    """With them the till is right, and the printed statement says what they were."""
    deposits.counts_cash(150_00)
    closing = deposits.closes()
    assert (closing.cash_deposits, closing.cash_deposits_back) == (80_00, 30_00)
    assert (closing.cash_expected, closing.over_short) == (150_00, 0)
    assert (closing.card_deposits, closing.other_deposits) == (40_00, 20_00)
    [line] = closing.cash_lines.all()
    assert (line.came, line.went, line.expected) == (80_00, 30_00, 150_00)
    page = statement(closing)
    assert (page.card_total, page.other_total) == (40_00, 20_00)
    told = str(as_sheet(page, Studio.objects.get()))
    assert "Deposits on commissions" in told
    assert "Deposits paid back" in told


def test_a_card_deposit_finds_its_line_on_the_statement(stall: Stall) -> None:
    """And the refund of one its own, below zero."""
    given_back(stall, ordered(stall, 40_00, Method.CARD), Method.CARD)
    found = compared(stall, "2026-11-21,12:01,40.00,1.20,a\n2026-11-22,12:02,-40.00,0,b\n")
    assert [(pair.sales[0].name, pair.amount) for pair in found.pairs] == [
        ("Deposit 1", 40_00), ("Deposit paid back 2", -40_00),
    ]  # fmt: skip
    assert (found.unexplained, found.sold) == (0, 0)
