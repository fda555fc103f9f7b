"""Many taps at once unload a kiln once, over real connections, on whichever database."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.factories import NOW, WareFactory
from tests.firings.kiln import count, facts, fired, owner
from vendor.firings import actions, unloading
from vendor.firings.actions import Load
from vendor.firings.models import Firing
from vendor.house.errors import Refused
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Entry

pytestmark = pytest.mark.django_db(transaction=True)
TAPS = 12


def at_once(act: Callable[[int], object]) -> list[object]:
    """Do an act in many threads that all start together; a refusal is an answer too."""
    gate = threading.Barrier(TAPS)

    def tap(number: int) -> object:
        try:
            gate.wait()
            return act(number)
        except Refused as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(TAPS) as taps:
        return list(taps.map(tap, range(TAPS)))


def test_one_count_sent_at_once_reaches_the_shelf_once() -> None:
    """All of them are answered the same."""
    who, ware = owner(), WareFactory()
    firing = fired((ware, 12))
    said = [count(firing, 11, cracked=1)]
    answers = at_once(
        lambda _: unloading.unload_firing(firing=firing, counts=said, who=who, now=NOW)
    )
    assert set(answers) == {firing}
    assert Entry.objects.count() == 1
    assert Balance.objects.get().on_hand == 11
    assert audit() == []


def test_of_many_different_counts_one_is_kept() -> None:
    """The others are told that it has been unloaded."""
    who, ware = owner(), WareFactory()
    firing = fired((ware, 12))
    line = firing.lines.get().pk

    def tap(number: int) -> object:
        said = [unloading.Count(line, 12 - number % 2, number % 2)]
        return unloading.unload_firing(firing=firing, counts=said, who=who, now=NOW)

    at_once(tap)
    assert Entry.objects.count() == 1
    assert sum(Balance.objects.values_list("on_hand", flat=True)) == 12
    assert audit() == []


def test_one_page_sent_at_once_records_one_firing() -> None:
    """And different pages get numbers of their own."""
    who, ware = owner(), WareFactory()
    said = facts()
    loads = [Load(ware.pk, 3)]
    at_once(lambda _: actions.record_firing(key="once", facts=said, loads=loads, who=who, now=NOW))
    assert Firing.objects.count() == 1
    at_once(
        lambda n: actions.record_firing(key=f"page-{n}", facts=said, loads=loads, who=who, now=NOW)
    )
    assert sorted(Firing.objects.values_list("number", flat=True)) == list(range(1, TAPS + 2))
