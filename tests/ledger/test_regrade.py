"""A piece that changes its grade where it stands."""

import pytest

from tests.factories import NOW, OwnerFactory, WareFactory, shelf, stocked
from vendor.house.errors import Refused
from vendor.ledger import actions
from vendor.ledger.actions import Line
from vendor.ledger.audit import audit
from vendor.ledger.errors import NotEnough
from vendor.ledger.models import Balance
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def on_hand(ware: Ware) -> dict[str, int]:
    """Return what stands on the shelf, by grade."""
    rows = Balance.objects.filter(ware=ware, on_hand__gt=0)
    return dict(rows.values_list("grade", "on_hand"))


def chip(ware: Ware, quantity: int, **more: str) -> None:
    actions.regrade(
        key=more.get("key", "chip"), lines=[Line(ware.pk, quantity)], at=shelf(), to="second",
        who=OwnerFactory(), now=NOW, reason=more.get("reason", "Chipped at the foot"),
    )  # fmt: skip


def test_a_chipped_first_is_a_second_from_then_on() -> None:
    """One fewer of the one, one more of the other, in one entry, once."""
    ware = WareFactory()
    stocked(ware, 3)
    chip(ware, 1)
    chip(ware, 1)
    assert on_hand(ware) == {"first": 2, "second": 1}
    assert audit() == []


def test_more_than_there_is_stays_as_it_is() -> None:
    """And none without a reason."""
    ware = WareFactory()
    stocked(ware, 3)
    with pytest.raises(NotEnough):
        chip(ware, 4)
    with pytest.raises(Refused, match="say why"):
        chip(ware, 1, reason=" ")
    assert on_hand(ware) == {"first": 3}
