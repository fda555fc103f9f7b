"""What the database itself refuses, whoever asks, and what the audit finds all the same."""

import pytest
from django.db import IntegrityError, connection, transaction

from tests.factories import NOW, OwnerFactory, WareFactory, shelf, stocked
from vendor.house.models import User
from vendor.ledger import holds, triggers
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Hold
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return OwnerFactory()


@pytest.fixture
def tumbler(owner: User) -> Ware:
    """A ware of which ten stand on the shelf."""
    ware = WareFactory()
    stocked(ware, 10, who=owner)
    return ware


@pytest.mark.parametrize("act", ["UPDATE {} SET id = id", "DELETE FROM {}"])
@pytest.mark.parametrize("table", ["ledger_entry", "ledger_movement", "ledger_holdline"])
def test_the_database_refuses_to_change_or_delete_what_was_entered(
    table: str, act: str, tumbler: Ware, owner: User
) -> None:
    """Append-only, whoever asks."""
    holds.hold(
        key="hold", ware_id=tumbler.pk, at=shelf(), purpose=Hold.Purpose.COMMITMENT,
        label="Promise 12", who=owner, now=NOW,
    )  # fmt: skip
    with (
        pytest.raises(IntegrityError, match="never changed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(act.format(table))


@pytest.mark.parametrize(
    "change", [{"on_hand": -1}, {"held": 11}, {"held": -1}], ids=["below zero", "over", "negative"]
)
def test_the_database_refuses_a_balance_that_cannot_be(
    change: dict[str, int], tumbler: Ware
) -> None:
    """0 ≤ held ≤ on hand, whoever asks."""
    with pytest.raises(IntegrityError), transaction.atomic():
        Balance.objects.filter(ware=tumbler).update(**change)


def test_every_trigger_stands(db: None) -> None:
    """The guards are there after migrate, on either database."""
    assert triggers.missing(connection) == []


def test_the_audit_names_a_drift(tumbler: Ware) -> None:
    """A figure that was tampered with is found and named."""
    Balance.objects.filter(ware=tumbler).update(on_hand=9)
    (drift,) = audit()
    assert (drift.rule, drift.recorded, drift.rebuilt) == ("on hand", 9, 10)
