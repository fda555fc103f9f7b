"""Whose word on who sold is good enough, how long, and what becomes of a sale until it is."""

import datetime
from typing import Any

import pytest
from django.core import signing
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, Stall
from tests.factories import UserFactory
from vendor.counter import pins, settling
from vendor.counter.asking import what_became
from vendor.counter.intake import Outcome, take_in
from vendor.counter.models import Sale, Unsettled
from vendor.house.models import User
from vendor.ledger.audit import audit

DAY = datetime.timedelta(days=1)
FORMER_SALT = "vendor.counter.seller"


@pytest.fixture
def passes(stall: Stall) -> dict[str, list[str]]:
    """The passes of a login on which the helper's PIN was given just now."""
    pins.set_pin(user=stall.helper, pin="2580", who=stall.helper, now=NOW)
    return {str(stall.helper.pk): pins.pass_for(user=stall.helper, pin="2580", now=NOW)}


def kept(stall: Stall, sender: User, seller: Any) -> tuple[dict[str, Any], Unsettled]:
    """Send a sale whose seller the sender's login can't vouch for."""
    document = stall.document(seller=seller)
    [answer] = take_in(raws=[document], who=sender, now=NOW)
    assert answer.outcome == Outcome.KEPT
    waiting = Unsettled.objects.get(key=document["key"])
    assert waiting.why == Unsettled.Why.SELLER
    return document, waiting


def test_a_pass_lasts_a_day(stall: Stall, passes: dict[str, list[str]]) -> None:
    """And none is good before its time, whatever became of the clock."""
    almost = NOW + DAY - datetime.timedelta(seconds=1)
    assert pins.vouched(passes, now=almost) == {stall.helper.pk}
    assert pins.vouched(passes, now=NOW + DAY) == frozenset()
    assert pins.vouched(passes, now=NOW - DAY) == frozenset()
    assert pins.vouched({}, now=NOW) == frozenset()


def test_another_pin_ends_the_pass(stall: Stall, passes: dict[str, list[str]]) -> None:
    """Also the same digits, set anew."""
    pins.set_pin(user=stall.helper, pin="2580", who=stall.helper, now=NOW)
    assert pins.vouched(passes, now=NOW) == frozenset()


def test_another_password_ends_the_pass(stall: Stall, passes: dict[str, list[str]]) -> None:
    """Who changes it after a theft has ended this too."""
    stall.helper.set_password("another one, and long")
    stall.helper.save()
    assert pins.vouched(passes, now=NOW) == frozenset()


def test_a_shut_login_ends_the_pass(stall: Stall, passes: dict[str, list[str]]) -> None:
    """Not even the owner's login takes their sales unasked then; the owner may settle them."""
    User.objects.filter(pk=stall.helper.pk).update(is_active=False)
    assert pins.vouched(passes, now=NOW) == frozenset()
    _, waiting = kept(stall, stall.owner, stall.helper.pk)
    sale = settling.take_as_sale(
        unsettled=waiting, weekend=stall.weekend, day=NOW.date(), who=stall.owner, now=NOW
    )
    assert sale.seller == stall.helper


def test_a_pass_of_one_person_is_none_for_another(
    stall: Stall, passes: dict[str, list[str]]
) -> None:
    """Both have a PIN; the mark goes with its own."""
    other = UserFactory()
    pins.set_pin(user=other, pin="2580", who=other, now=NOW)
    [given] = passes.values()
    assert pins.vouched({str(other.pk): given}, now=NOW) == frozenset()


def test_who_is_logged_in_and_the_owner_are_believed(stall: Stall) -> None:
    """A device says whose its sales are even when somebody else sends them later."""
    own, handed = stall.document(seller=stall.helper.pk), stall.document(seller=stall.helper.pk)
    take_in(raws=[own], who=stall.helper, now=NOW)
    take_in(raws=[handed], who=stall.owner, now=NOW)
    assert set(Sale.objects.values_list("seller", flat=True)) == {stall.helper.pk}


@pytest.mark.parametrize("seller", [987654, "nobody", signing.dumps(987654, salt=FORMER_SALT)])
def test_a_seller_whom_the_books_do_not_know_waits_even_for_the_owner(
    stall: Stall, seller: Any
) -> None:
    """By number, or by text that an earlier edition may have sent."""
    kept(stall, stall.owner, seller)


def test_a_sale_kept_by_an_earlier_edition_still_tells_its_seller(stall: Stall) -> None:
    """Its signed text is no proof any more, and names whom the owner may believe."""
    text = signing.dumps(stall.helper.pk, salt=FORMER_SALT)
    [answer] = take_in(raws=[stall.document(seller=text)], who=stall.owner, now=NOW)
    assert (answer.outcome, Sale.objects.get().seller) == (Outcome.TAKEN, stall.helper)
    kept(stall, UserFactory(), text)


def test_what_waits_for_a_pin_is_taken_once_it_is_given(
    stall: Stall, passes: dict[str, list[str]]
) -> None:
    """Asked without it, it waits; with it, it is a sale, once, and the tray is empty."""
    other = UserFactory()
    document, waiting = kept(stall, other, stall.helper.pk)
    [still] = what_became(keys=[document["key"]], who=other, now=NOW)
    assert (still.outcome, Sale.objects.count()) == (Outcome.KEPT, 0)
    vouched = pins.vouched(passes, now=NOW)
    for outcome in (Outcome.TAKEN, Outcome.HAD):
        [answer] = what_became(keys=[document["key"]], who=other, now=NOW, vouched=vouched)
        assert (answer.outcome, answer.number) == (outcome, 1)
    sale = Sale.objects.get()
    waiting.refresh_from_db()
    assert (sale.seller, waiting.sale, waiting.settled_by) == (stall.helper, sale, other)
    [again] = take_in(raws=[document], who=other, now=NOW)
    assert again.outcome == Outcome.HAD
    assert audit() == []


def test_what_does_not_hold_against_the_books_waits_on_for_the_owner(
    stall: Stall, passes: dict[str, list[str]]
) -> None:
    """The PIN is given, and the ware was retired meanwhile: now it waits for that."""
    document, waiting = kept(stall, UserFactory(), stall.helper.pk)
    type(stall.tumbler).objects.filter(pk=stall.tumbler.pk).update(retired=True)
    vouched = pins.vouched(passes, now=NOW)
    keys = [document["key"]]
    [answer] = what_became(keys=keys, who=stall.helper, now=NOW, vouched=vouched)
    waiting.refresh_from_db()
    assert (answer.outcome, waiting.why, waiting.sale) == (Outcome.KEPT, Unsettled.Why.WARE, None)


def test_its_seller_undoes_what_waits_for_their_pin(stall: Stall) -> None:
    """Whoever sent it: it is theirs."""
    document, waiting = kept(stall, UserFactory(), stall.helper.pk)
    settling.withdraw(key=document["key"], reason="Rung up wrong", who=stall.helper, now=NOW)
    waiting.refresh_from_db()
    assert waiting.settlement == "Undone by the seller: Rung up wrong"


def test_asking_answers_each_key_for_itself(stall: Stall, client: Client) -> None:
    """A sale, one put aside, one that is nowhere, and what is no key."""
    sold, aside = stall.document(), stall.document(seller=stall.owner.pk)
    take_in(raws=[sold, aside], who=stall.helper, now=NOW)
    settling.put_aside(
        unsettled=Unsettled.objects.get(), reason="Rung up twice", who=stall.owner, now=NOW
    )
    client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
    envelope = {"format": "wareboard.batch", "version": 1, "sent_at": NOW.isoformat()}
    keys = [sold["key"], aside["key"], "f" * 32, "no key", 7]
    address = reverse("counter:became")
    answer = client.post(address, envelope | {"keys": keys}, content_type="application/json")
    told = [(each["outcome"], each["number"]) for each in answer.json()["answers"]]
    assert told == [
        ("had", 1),
        ("aside", None),
        ("aside", None),
        ("malformed", None),
        ("malformed", None),
    ]
    bad = client.post(address, envelope | {"keys": []}, content_type="application/json")
    assert bad.status_code == 400
