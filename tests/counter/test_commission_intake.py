"""Commissions that devices send: taken once, kept for the owner, and never lost."""

import datetime
import random
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.counter.commissions import CUSTOMER, document
from tests.counter.stalls import NOW, SATURDAY, SOLD_AT, Stall
from vendor.counter import settling
from vendor.counter.answers import Answer
from vendor.counter.asking import what_became
from vendor.counter.commission_document import NOBODY, parse
from vendor.counter.commission_intake import take_in
from vendor.counter.deposits import audit_deposits
from vendor.counter.fields import Malformed
from vendor.counter.models import Commission, Deposit, Unsettled
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Form, Ware


def sent(stall: Stall, *documents: object, **more: Any) -> list[Answer]:
    return take_in(raws=documents, who=more.pop("who", stall.helper), now=NOW, **more)


def test_a_commission_is_taken_once_and_answers_the_promise(stall: Stall) -> None:
    """Sent twice and with its fields in another order, it is one."""
    told = document(stall)
    answers = sent(stall, told, told, dict(reversed(told.items())))
    assert [each.outcome for each in answers] == ["taken", "had", "had"]
    assert {each.number for each in answers} == {1}
    promise = Commitment.objects.get()
    assert (promise.supporter.name, promise.price, promise.paid) == (CUSTOMER, 9000, 2000)
    assert promise.note == "collects in February"
    made = Commission.objects.get()
    assert (made.day, made.taken_at, made.seller) == (SATURDAY, SOLD_AT, stall.helper)


def test_a_commission_of_a_form_leaves_the_rest_to_words(stall: Stall) -> None:
    """The finish is in its choices until there is ware."""
    piece = {"form": "BOWL", "ware": "", "name": "Berry bowl"}
    [answer] = sent(stall, document(stall, piece=piece, deposit=None))
    assert answer.outcome == "taken"
    promise = Commitment.objects.get()
    assert (promise.form, promise.ware) == (Form.objects.get(code="BOWL"), None)
    assert not Deposit.objects.exists()


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"fair": 999}, "terms"),
        ({"currency": "EUR"}, "terms"),
        ({"taken_at": "2026-12-09T16:20:00Z"}, "day"),
        ({"taken_at": "2026-12-03T16:20:00Z"}, "day"),
        ({"piece": {"form": "", "ware": "GONE", "name": "A plate"}}, "ware"),
        ({"seller": 999}, "seller"),
    ],
)
def test_what_the_books_have_otherwise_waits_for_the_owner(
    stall: Stall, changes: dict[str, Any], why: str
) -> None:
    """With the facts as the seller saw them, and nothing written yet."""
    told = document(stall, **changes)
    [answer, again] = sent(stall, told, told)
    assert (answer.outcome, again.outcome) == ("kept", "kept")
    kept = Unsettled.objects.get()
    assert (kept.why, kept.kind, kept.document) == (why, "commission", told)
    assert not Supporter.objects.exists()


def test_a_kept_commission_is_taken_by_the_owner_and_forgets_who_it_is_for(stall: Stall) -> None:
    """Under a day, and of a ware that the owner names; the device hears of it when it asks."""
    told = document(stall, piece={"form": "", "ware": "GONE", "name": "A plate"})
    sent(stall, told)
    made = settling.take_as_commission(
        unsettled=Unsettled.objects.get(), weekend=stall.weekend, day=SATURDAY, ware=stall.bowl,
        form=None, who=stall.owner, now=NOW,
    )  # fmt: skip
    promise = Commitment.objects.get()
    assert (promise.ware, promise.paid) == (stall.bowl, 2000)
    kept = Unsettled.objects.get()
    assert (kept.document["customer"], kept.commission) == (NOBODY, made)
    [answer, again] = [
        *what_became(keys=[told["key"]], who=stall.helper, now=NOW), *sent(stall, told),
    ]  # fmt: skip
    assert (answer.outcome, again.outcome) == ("had", "had")
    assert answer.number == made.commitment.number


def test_a_commission_put_aside_forgets_who_it_is_for_and_is_still_known(stall: Stall) -> None:
    """It was a slip of the keys: no promise, and no name left behind."""
    told = document(stall, fair=999)
    sent(stall, told)
    settling.put_aside(
        unsettled=Unsettled.objects.get(), reason="Entered twice", who=stall.owner, now=NOW
    )
    assert CUSTOMER not in str(Unsettled.objects.get().document)
    assert sent(stall, told)[0].outcome == "aside"


def test_a_commission_waits_for_its_sellers_pin_and_no_longer(stall: Stall) -> None:
    """It is taken as soon as the PIN was given on the login that sent it."""
    told = document(stall, seller=stall.owner.pk)
    assert sent(stall, told)[0].outcome == "kept"
    [answer] = what_became(keys=[told["key"]], who=stall.helper, now=NOW, vouched={stall.owner.pk})
    assert answer.outcome == "taken"
    assert Commission.objects.get().seller == stall.owner


def test_a_clock_that_is_off_is_put_right_but_not_for_what_was_on_paper(stall: Stall) -> None:
    """Two days behind: the one it told is Saturday's by our clock, the other was Saturday's."""
    off = datetime.timedelta(days=2)
    told = document(stall, taken_at=(SOLD_AT - off).isoformat())
    paper = document(stall, entered_later=True)
    answers = sent(stall, told, paper, sent_at=NOW - off)
    assert [each.outcome for each in answers] == ["taken", "taken"]
    assert [each.taken_at for each in Commission.objects.all()] == [SOLD_AT, SOLD_AT]


@pytest.mark.parametrize(
    ("field", "wrong"),
    [
        ("format", "wareboard.sale"),
        ("version", 2),
        ("customer", {"name": " ", "contact": ""}),
        ("customer", {"name": "A"}),
        ("piece", {"form": "BOWL", "ware": "BOWL-SHI", "name": "Both"}),
        ("piece", {"form": "", "ware": "", "name": "Neither"}),
        ("due_on", "2027-02-30"),
        ("due_on", "soon"),
        ("price", 0),
        ("deposit", {"method": "cash", "amount": 9001}),
        ("deposit", {"method": "deposit", "amount": 1}),
        ("deposit", {"method": "cash", "amount": 0}),
        ("choices", "two\nlines"),
    ],
)
def test_what_is_no_commission_is_sent_back(stall: Stall, field: str, wrong: object) -> None:
    """It is still on the device, with the reason."""
    told = document(stall) | {field: wrong}
    [answer] = sent(stall, told)
    assert answer.outcome == "malformed"
    assert answer.reason.startswith(field)


def test_devices_that_send_at_random_and_twice_make_each_commission_once(stall: Stall) -> None:
    """Three devices with five each, every one of them sent twice: fifteen, without a gap."""
    told = [
        document(stall, device=f"phone {device}", deposit={"method": "card", "amount": 100 + nth})
        for device in range(3)
        for nth in range(5)
    ]
    batch = [*told, *told]
    random.Random(7).shuffle(batch)
    for start in range(0, len(batch), 4):
        sent(stall, *batch[start : start + 4])
    assert Commission.objects.count() == Commitment.objects.count() == 15
    assert sorted(Deposit.objects.values_list("number", flat=True)) == list(range(1, 16))
    assert sum(Deposit.objects.values_list("amount", flat=True)) == 3 * (500 + 10)
    assert Supporter.objects.count() == 1
    assert audit_deposits() == []


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(max_size=9),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=9), inner),
        max_leaves=9,
    )
)
def test_whatever_comes_is_parsed_or_malformed(raw: object) -> None:
    """Never a fault of ours."""
    with pytest.raises(Malformed):
        parse(raw)


def test_a_batch_of_commissions_is_answered_for_each(stall: Stall, client: Client) -> None:
    """At an address of its own, by whoever sells."""
    client.force_login(stall.helper)
    batch = {
        "format": "wareboard.batch", "version": 1, "sent_at": NOW.isoformat(),
        "commissions": [document(stall, fair=999), 7],
    }  # fmt: skip
    address = reverse("counter:take_commissions")
    answer = client.post(address, batch, content_type="application/json").json()
    assert [each["outcome"] for each in answer["answers"]] == ["kept", "malformed"]
    wrong = batch | {"commissions": []}
    assert client.post(address, wrong, content_type="application/json").status_code == 400


def test_a_retired_ware_waits_for_the_owner(stall: Stall) -> None:
    """Nobody promises what is not made any more without saying so."""
    Ware.objects.filter(pk=stall.tumbler.pk).update(retired=True)
    assert sent(stall, document(stall))[0].outcome == "kept"
