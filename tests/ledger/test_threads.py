"""Many devices at once keep one truth: over real connections, on whichever database."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.factories import NOW, OwnerFactory, WareFactory, stall, stocked
from vendor.ledger import actions
from vendor.ledger.actions import Line
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Entry, Movement

pytestmark = pytest.mark.django_db(transaction=True)
SELLERS = 20


def test_twenty_sellers_of_the_last_ten_pieces_sell_ten_and_find_ten() -> None:
    """Exactly ten are ordinary sales; the other ten are entered as found; nothing is lost."""
    who, ware, place = OwnerFactory(), WareFactory(), stall()
    stocked(ware, 10, at=place, who=who)
    gate = threading.Barrier(SELLERS)

    def sell(number: int) -> None:
        try:
            gate.wait()
            actions.sell(
                key=f"sale-{number}", lines=[Line(ware.pk, 1)], source=place, who=who, now=NOW
            )
        finally:
            connection.close()

    with ThreadPoolExecutor(SELLERS) as sellers:
        list(sellers.map(sell, range(SELLERS)))
    sales = Entry.objects.filter(kind="sale")
    found = Movement.objects.filter(source__kind="found")
    assert sales.count() == SELLERS
    assert found.count() == 10
    assert Balance.objects.get(place=place, ware=ware).on_hand == 0
    assert audit() == []


def test_the_same_sale_sent_by_twenty_threads_is_one_sale() -> None:
    """The key makes it once, whoever comes first."""
    who, ware, place = OwnerFactory(), WareFactory(), stall()
    stocked(ware, 10, at=place, who=who)
    gate = threading.Barrier(SELLERS)

    def sell(_: int) -> int:
        try:
            gate.wait()
            return actions.sell(
                key="sale", lines=[Line(ware.pk, 1)], source=place, who=who, now=NOW
            ).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(SELLERS) as sellers:
        entries = set(sellers.map(sell, range(SELLERS)))
    assert len(entries) == 1
    assert Balance.objects.get(place=place, ware=ware).on_hand == 9
