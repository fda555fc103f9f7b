"""Many devices at once, over real connections, on whichever database the tests run on."""

import threading
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from tests.counter.stalls import NOW, Stall
from vendor.counter.intake import Answer, take_in
from vendor.counter.models import Sale, SaleLine
from vendor.ledger.audit import audit


def at_once(jobs: list[Callable[[], list[Answer]]]) -> list[Answer]:
    """Run the jobs in threads that start together; return all their answers."""
    gate = threading.Barrier(len(jobs))
    answers: list[Answer] = []

    def run(job: Callable[[], list[Answer]]) -> None:
        try:
            gate.wait()
            answers.extend(job())
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[job]) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def sending(stall: Stall, document: dict[str, Any]) -> Callable[[], list[Answer]]:
    return lambda: take_in(raws=[document], who=stall.owner, now=NOW)


@pytest.mark.django_db(transaction=True)
def test_two_devices_with_the_same_key_make_one_sale(transactional_db: None) -> None:
    """One is told that it was taken, the other that it was there."""
    stall = Stall()
    document = stall.document()
    answers = at_once([sending(stall, document)] * 2)
    assert sorted(answer.outcome for answer in answers) == ["had", "taken"]
    assert {answer.number for answer in answers} == {1}
    assert (Sale.objects.count(), stall.left(stall.tumbler)) == (1, 9)


@pytest.mark.django_db(transaction=True)
def test_twenty_devices_sell_the_last_ten_pieces(transactional_db: None) -> None:
    """Ten are ordinary sales, ten are of pieces that had to be found; none is lost or negative."""
    stall = Stall()
    answers = at_once([sending(stall, stall.document()) for _ in range(20)])
    assert Counter(answer.outcome for answer in answers) == {"taken": 20}
    assert sorted(answer.number or 0 for answer in answers) == list(range(1, 21))
    assert Counter(SaleLine.objects.values_list("found", flat=True)) == {0: 10, 1: 10}
    assert stall.left(stall.tumbler) == 0
    assert audit() == []
