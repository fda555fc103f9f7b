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
from vendor.counter.models import Sale, Unsettled
from vendor.counter.pins import Pin


def with_pin(stall: Stall, pin: str = "2580") -> str:
    """Give the helper a PIN, and return a pass for it."""
    pins.set_pin(user=stall.helper, pin=pin, who=stall.helper, now=NOW)
    return pins.pass_for(user=stall.helper, pin=pin, now=NOW)


def test_a_right_pin_gives_a_pass_and_the_sale_is_theirs(stall: Stall) -> None:
    """Taken on the owner's phone, sold by the helper; the ledger knows who sent it."""
    document = stall.document(seller=with_pin(stall))
    [answer] = take_in(raws=[document], who=stall.owner, now=NOW)
    assert answer.outcome == "taken"
    sale = Sale.objects.get()
    assert (sale.seller, sale.entry.who) == (stall.helper, stall.owner)


def test_the_pin_is_hashed_and_the_pass_is_signed(stall: Stall) -> None:
    """A pass that was made up keeps the sale waiting for the owner."""
    given = with_pin(stall)
    assert "2580" not in Pin.objects.get().secret
    assert pins.seller_of(given) == stall.helper
    assert pins.seller_of(given + "x") is None
    [answer] = take_in(raws=[stall.document(seller="nobody")], who=stall.owner, now=NOW)
    assert (answer.outcome, Unsettled.objects.get().why) == ("kept", "seller")


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
    """By their pass; and another helper's not."""
    given, other = with_pin(stall), UserFactory()
    document = stall.document(seller=given)
    take_in(raws=[document], who=other, now=NOW)
    undo = {"format": "wareboard.undo", "version": 1, "key": "a" * 32, "sale": document["key"]}
    undo["reason"] = "Rung up wrong"
    [refused] = undoings.take_in(raws=[undo], who=other, now=NOW)
    assert refused.outcome == "refused"
    [made_up] = undoings.take_in(raws=[undo | {"seller": "x"}], who=other, now=NOW)
    assert made_up.outcome == "refused"
    [taken] = undoings.take_in(raws=[undo | {"seller": given}], who=other, now=NOW)
    assert taken.outcome == "taken"


def test_the_owners_pin_undoes_only_the_owners_own_on_a_helpers_login(stall: Stall) -> None:
    """A PIN of four digits, kept by a browser, is no login: the rest takes the owner's."""
    pins.set_pin(user=stall.owner, pin="1470", who=stall.owner, now=NOW)
    given = pins.pass_for(user=stall.owner, pin="1470", now=NOW)
    other, helper = UserFactory(), stall.helper
    theirs, own = stall.document(), stall.document(seller=given)
    take_in(raws=[theirs], who=other, now=NOW)
    take_in(raws=[own], who=helper, now=NOW)
    undo = {"format": "wareboard.undo", "version": 1, "reason": "Rung up wrong", "seller": given}
    [refused] = undoings.take_in(
        raws=[undo | {"key": "a" * 32, "sale": theirs["key"]}], who=helper, now=NOW
    )
    assert refused.outcome == "refused"
    [taken] = undoings.take_in(
        raws=[undo | {"key": "b" * 32, "sale": own["key"]}], who=helper, now=NOW
    )
    assert taken.outcome == "taken"


def test_the_pin_is_set_on_its_page_and_the_page_at_the_stall_asks_for_it(stall: Stall) -> None:
    """The sheet names who has one; a right PIN is answered with a pass."""
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
        right = client.post(ask, {"user": stall.helper.pk, "pin": "2580"}).json()
    assert right["name"] == str(stall.helper)
    assert pins.seller_of(right["pass"]) == stall.helper
