"""Who sells on a shared device: a PIN, a pass, and nothing more than that."""

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, Stall
from tests.factories import UserFactory
from vendor.counter import pins, undoings
from vendor.counter.errors import NotYours, WrongPin
from vendor.counter.intake import take_in
from vendor.counter.models import Sale
from vendor.counter.pins import Pin


def with_pin(stall: Stall, pin: str = "2580") -> dict[str, list[str]]:
    """Give the helper a PIN, and return the passes of a login on which it was given."""
    pins.set_pin(user=stall.helper, pin=pin, who=stall.helper, now=NOW)
    given = pins.pass_for(user=stall.helper, pin=pin, now=NOW)
    return {str(stall.helper.pk): given}


def test_a_right_pin_vouches_and_the_sale_is_theirs(stall: Stall) -> None:
    """Taken on somebody's phone, sold by the helper; the ledger knows who sent it."""
    other, vouched = UserFactory(), pins.vouched(with_pin(stall), now=NOW)
    document = stall.document(seller=stall.helper.pk)
    [answer] = take_in(raws=[document], who=other, now=NOW, vouched=vouched)
    assert answer.outcome == "taken"
    sale = Sale.objects.get()
    assert (sale.seller, sale.entry.who) == (stall.helper, other)


def test_the_pin_is_hashed_and_a_pass_has_nothing_of_it(stall: Stall) -> None:
    """It is text that can be kept with a login, and tells neither the PIN nor the password."""
    [[_, [given_at, seal]]] = with_pin(stall).items()
    secret = Pin.objects.get().secret
    assert "2580" not in secret
    assert given_at == NOW.isoformat()
    assert seal not in secret
    assert not set(seal) - set("0123456789abcdef")


@pytest.mark.parametrize("pin", ["", "123", "123456789", "12a4", "1111", "١٢٣٤"])
def test_a_pin_has_four_to_eight_digits_not_all_the_same(stall: Stall, pin: str) -> None:
    """Anything else is refused, and the old one stays."""
    with pytest.raises(WrongPin):
        pins.set_pin(user=stall.helper, pin=pin, who=stall.helper, now=NOW)
    assert not Pin.objects.exists()


def test_everybody_sets_their_own_and_the_owner_anybodys(stall: Stall) -> None:
    """A helper gives nobody else a PIN."""
    with pytest.raises(NotYours):
        pins.set_pin(user=stall.owner, pin="2580", who=stall.helper, now=NOW)
    pins.set_pin(user=stall.helper, pin="2580", who=stall.owner, now=NOW)
    assert pins.sellers() == [stall.helper]


def test_five_wrong_tries_shut_it_for_five_minutes(stall: Stall) -> None:
    """Even the right one waits then."""
    with_pin(stall)
    for _ in range(5):
        with pytest.raises(WrongPin, match="not the PIN"):
            pins.pass_for(user=stall.helper, pin="0000", now=NOW)
    with pytest.raises(WrongPin, match="wait five minutes"):
        pins.pass_for(user=stall.helper, pin="2580", now=NOW)
    later = NOW + datetime.timedelta(minutes=6)
    assert pins.pass_for(user=stall.helper, pin="2580", now=later)


def test_who_is_gone_sells_no_more(stall: Stall) -> None:
    """No pass for a login that was shut."""
    with_pin(stall)
    stall.helper.is_active = False
    stall.helper.save()
    with pytest.raises(WrongPin):
        pins.pass_for(user=stall.helper, pin="2580", now=NOW)


def test_a_helper_undoes_their_own_on_somebodys_device(stall: Stall) -> None:
    """By their PIN; and another helper's not."""
    vouched, other = pins.vouched(with_pin(stall), now=NOW), UserFactory()
    document = stall.document(seller=stall.helper.pk)
    take_in(raws=[document], who=other, now=NOW, vouched=vouched)
    undo = {"format": "wareboard.undo", "version": 1, "key": "a" * 32, "sale": document["key"]}
    undo["reason"] = "Rung up wrong"
    theirs = undo | {"seller": stall.helper.pk}
    for raw in (undo, undo | {"seller": "x"}, theirs):
        [refused] = undoings.take_in(raws=[raw], who=other, now=NOW)
        assert refused.outcome == "refused"
    [taken] = undoings.take_in(raws=[theirs], who=other, now=NOW, vouched=vouched)
    assert taken.outcome == "taken"


def test_the_owners_pin_undoes_only_the_owners_own_on_a_helpers_login(stall: Stall) -> None:
    """A PIN of four digits is no login: the rest takes the owner's."""
    vouched, owner = {stall.owner.pk}, stall.owner.pk
    other, helper = UserFactory(), stall.helper
    theirs, own = stall.document(), stall.document(seller=owner)
    take_in(raws=[theirs], who=other, now=NOW)
    take_in(raws=[own], who=helper, now=NOW, vouched=vouched)
    undo = {"format": "wareboard.undo", "version": 1, "reason": "Rung up wrong", "seller": owner}
    [refused] = undoings.take_in(
        raws=[undo | {"key": "a" * 32, "sale": theirs["key"]}],
        who=helper,
        now=NOW,
        vouched=vouched,
    )
    assert refused.outcome == "refused"
    [taken] = undoings.take_in(
        raws=[undo | {"key": "b" * 32, "sale": own["key"]}], who=helper, now=NOW, vouched=vouched
    )
    assert taken.outcome == "taken"


def test_the_pin_is_set_on_its_page_and_the_page_at_the_stall_asks_for_it(stall: Stall) -> None:
    """The sheet names who has one; a right PIN makes the login vouch, and tells no secret."""
    with time_machine.travel(NOW, tick=False):
        client = Client()
        client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
        address = reverse("counter:pin")
        form = {"user": stall.helper.pk, "pin": "2580", "again": "2581"}
        assert b"not the same PIN" in client.post(address, form).content
        assert client.post(address, form | {"pin": "1111", "again": "1111"}).status_code == 409
        assert client.post(address, form | {"user": stall.owner.pk}).status_code == 200
        assert client.post(address, form | {"again": "2580"}).status_code == 302
        sheet = client.get(reverse("counter:stall")).json()
        assert sheet["sellers"] == [{"id": stall.helper.pk, "name": str(stall.helper)}]
        ask = reverse("counter:seller")
        for wrong in ({}, {"user": "x"}, {"user": "99"}, {"user": stall.helper.pk, "pin": "1"}):
            assert client.post(ask, wrong).status_code == 409
        assert client.get(reverse("counter:stall")).json()["vouched"] == []
        right = client.post(ask, {"user": stall.helper.pk, "pin": "2580"}).json()
        assert client.get(reverse("counter:stall")).json()["vouched"] == [stall.helper.pk]
    assert right == {"seller": stall.helper.pk, "name": str(stall.helper)}
