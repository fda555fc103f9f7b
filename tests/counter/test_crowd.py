"""Many devices at once, over real connections, on whichever database the tests run on."""

import random
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


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_two_devices_send_many_sales_in_any_order_and_some_twice(
    transactional_db: None, seed: int
) -> None:
    """Lost answers, shuffled batches, both devices at once: every sale is there exactly once."""
    stall, chance = Stall(), random.Random(seed)
    devices = []
    for name in ("Tansy's phone", "The old phone"):
        pieces = [chance.choice([stall.tumbler, stall.bowl]) for _ in range(30)]
        documents = [stall.document((ware, 1), device=name) for ware in pieces]
        again = documents + chance.choices(documents, k=15)
        chance.shuffle(again)
        devices.append([again[at : at + 4] for at in range(0, len(again), 4)])

    answers = at_once([_sending_all(stall, batches) for batches in devices])
    assert Counter(answer.outcome for answer in answers) == {"taken": 60, "had": 30}
    numbers = {answer.key: answer.number for answer in answers}
    assert sorted(number or 0 for number in numbers.values()) == list(range(1, 61))
    for ware, stood in ((stall.tumbler, 10), (stall.bowl, 4)):
        lines = SaleLine.objects.filter(ware=ware)
        found = sum(lines.values_list("found", flat=True))
        assert (stall.left(ware), found) == (0, lines.count() - stood)
    assert audit() == []


@pytest.mark.django_db(transaction=True)
def test_four_devices_with_250_sales_each_make_exactly_1000(transactional_db: None) -> None:
    """Taken offline, sent together in any order, batches lost and sent again: one truth."""
    stall, chance = Stall(), random.Random(2026)
    made: list[dict[str, Any]] = []
    jobs = []
    for number in range(4):
        documents = [
            stall.document(
                (chance.choice([stall.tumbler, stall.bowl]), 1), device=f"device {number}"
            )
            for _ in range(250)
        ]
        made += documents
        chance.shuffle(documents)
        batches = [documents[at : at + 50] for at in range(0, 250, 50)]
        # An answer that was lost: a whole batch again. A file handed over: one of another device.
        batches += [batches[0], chance.choices(made, k=25)]
        chance.shuffle(batches)
        jobs.append(_sending_all(stall, batches))
    answers = at_once(jobs)
    assert Counter(answer.outcome for answer in answers) == {"taken": 1000, "had": 300}
    assert set(Sale.objects.values_list("key", flat=True)) == {each["key"] for each in made}
    numbers = sorted(Sale.objects.values_list("number", flat=True))
    assert numbers == list(range(1, 1001))
    assert sum(Sale.objects.values_list("total", flat=True)) == sum(
        each["figures"]["total"] for each in made
    )
    assert audit() == []


def _sending_all(stall: Stall, batches: list[list[dict[str, Any]]]) -> Callable[[], list[Answer]]:
    def run() -> list[Answer]:
        answers: list[Answer] = []
        for batch in batches:
            answers += take_in(raws=batch, who=stall.owner, now=NOW)
        return answers

    return run
