"""Cash in and out of the till other than by a sale."""

import datetime

import pytest

from tests.factories import NOW, OwnerFactory, StudioFactory, TierFactory
from vendor.counter.cashbox import FloatEnteredAlready, move_cash
from vendor.counter.models import TillMovement
from vendor.fairs import planning
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.actions import close_through
from vendor.ledger.errors import KeyReused

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    StudioFactory()
    return OwnerFactory()


@pytest.fixture
def weekend(owner: User) -> Weekend:
    """A weekend that is on."""
    fair = planning.open_fair(
        name="Oxmere Mill", terms=planning.Terms(tier=TierFactory()), who=owner, now=NOW
    )
    (weekend,) = planning.plan_weekends(
        fair=fair, first_day=datetime.date(2026, 12, 5), count=1, who=owner, now=NOW
    )
    return weekend


def test_cash_sent_twice_is_entered_once(weekend: Weekend, owner: User) -> None:
    """The back button and a bad network pay nothing out twice."""
    act = {"weekend": weekend, "kind": "paid_out", "who": owner, "now": NOW}
    first = move_cash(key="k", amount=640, reason="paper bags", **act)
    assert move_cash(key="k", amount=640, reason="paper bags", **act) == first
    with pytest.raises(KeyReused):
        move_cash(key="k", amount=900, reason="paper bags", **act)
    assert TillMovement.objects.count() == 1


@pytest.mark.parametrize("amount", [0, -5])
def test_nothing_and_less_is_refused(amount: int, weekend: Weekend, owner: User) -> None:
    """An amount is above zero; the kind says which way it went."""
    with pytest.raises(Refused, match="above zero"):
        move_cash(
            key="k", weekend=weekend, kind="float", amount=amount, who=owner, now=NOW
        )  # fmt: skip


def test_paid_out_says_what_for(weekend: Weekend, owner: User) -> None:
    """Cash never leaves the till without a word."""
    with pytest.raises(Refused, match="what the cash was for"):
        move_cash(
            key="k", weekend=weekend, kind="paid_out", amount=640, reason=" ", who=owner, now=NOW
        )


def test_a_till_has_one_float(weekend: Weekend, owner: User) -> None:
    """A second float would be forgotten twice: more cash is paid in."""
    act = {"weekend": weekend, "kind": "float", "who": owner, "now": NOW}
    move_cash(key="a", amount=15000, **act)
    with pytest.raises(FloatEnteredAlready):
        move_cash(key="b", amount=5000, **act)


def test_nothing_moves_in_the_till_of_a_closed_weekend(weekend: Weekend, owner: User) -> None:
    """Closed is closed."""
    close_through(place=weekend.fair.stall, day=weekend.last_day)
    with pytest.raises(Refused, match="closed"):
        move_cash(key="k", weekend=weekend, kind="float", amount=100, who=owner, now=NOW)
