"""The pages about a commission's money: who may open them, what they say, what they do."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.counter.commissions import CUSTOMER, document, handed_over, held, key, taken
from tests.counter.stalls import NOW, Stall
from vendor.counter import cashbox
from vendor.counter.commission_intake import take_in
from vendor.counter.models import Commission, Deposit, Sale, Unsettled
from vendor.supporters.models import Commitment


@pytest.fixture(autouse=True)
def _saturday() -> object:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def owner(stall: Stall, client: Client) -> Client:
    client.force_login(stall.owner)
    return client


@pytest.fixture
def helper(stall: Stall) -> Client:
    """The helper's own browser."""
    browser = Client()
    browser.force_login(stall.helper)
    return browser


def page(promise: Commitment, name: str = "commission") -> str:
    return reverse(f"counter:{name}", args=[promise.number])


def test_a_commissions_page_says_what_is_left_to_pay(
    stall: Stall, owner: Client, helper: Client
) -> None:
    """And what tax asks of an accountant; it is the owner's."""
    promise = taken(stall).commitment
    shown = owner.get(page(promise)).content.decode()
    for told in (CUSTOMER, "90.00", "20.00", "70.00", "Deposit 1", "licensed accountant"):
        assert told in shown
    assert helper.get(page(promise)).status_code == 403
    on_the_promise = owner.get(reverse("supporters:promise", args=[promise.number]))
    assert page(promise) in on_the_promise.content.decode()


def test_a_further_deposit_is_taken_and_has_its_slip(stall: Stall, owner: Client) -> None:
    """Too much is refused on the form, and what was typed is kept."""
    promise = taken(stall).commitment
    told = {"key": key(), "amount": "71.00", "way": "card"}
    refused = owner.post(page(promise), told)
    assert refused.status_code == 409
    assert "than the price agreed" in refused.content.decode()
    slip = owner.post(page(promise), told | {"amount": "70.00"})
    shown = owner.get(slip.url).content.decode()  # type: ignore[attr-defined]
    assert "Deposit 2" in shown
    assert Commitment.objects.get().to_pay == 0


def test_a_helper_hands_a_piece_over_and_is_told_the_change(stall: Stall, helper: Client) -> None:
    """By first name at most; from the list of held pieces."""
    promise = held(stall, taken(stall))
    address = page(promise, "hand_over")
    assert address in helper.get(reverse("supporters:held")).content.decode()
    shown = helper.get(address).content.decode()
    assert "70.00" in shown
    assert "Lark" not in shown
    told = {"key": key(), "way": "cash", "tendered": "60.00"}
    assert helper.post(address, told).status_code == 409
    answer = helper.post(address, told | {"tendered": "100.00"}, follow=True)
    shown = answer.content.decode()
    assert "Change $30.00" in shown
    assert "Paid as a deposit" in shown
    assert helper.get(address).status_code == 200
    assert Sale.objects.get().total == 9000


def test_a_commission_without_a_piece_is_not_handed_over(stall: Stall, helper: Client) -> None:
    """The page says why."""
    promise = taken(stall).commitment
    assert "No piece is held" in helper.get(page(promise, "hand_over")).content.decode()


def test_a_commission_is_cancelled_with_what_becomes_of_its_deposit(
    stall: Stall, owner: Client
) -> None:
    """Without a reason nothing happens."""
    promise = taken(stall).commitment
    told = {"key": key(), "ending": "kept", "reason": ""}
    owner.post(page(promise, "cancel_commission"), told)
    assert Commitment.objects.get().state == "owed"
    answer = owner.post(
        page(promise, "cancel_commission"), told | {"reason": "Never called for"}, follow=True
    )
    assert "Never called for" in answer.content.decode()
    assert Deposit.objects.get(kind="kept").amount == 2000
    assert "Cancel the commission" not in owner.get(page(promise)).content.decode()


def test_the_cash_box_is_asked_for_where_there_are_several(stall: Stall, owner: Client) -> None:
    """The money is counted in the box that it is in."""
    promise = taken(stall).commitment
    cashbox.add_till(key="t", weekend=stall.weekend, name="Tin", who=stall.owner, now=NOW)
    told = {"key": key(), "amount": "5.00", "way": "cash", "till": "2"}
    assert owner.post(page(promise), told).status_code == 302
    assert Deposit.objects.get(number=2).till == 2


def test_a_slip_is_read_printed_and_shared(stall: Stall, helper: Client) -> None:
    """With the piece and the words, and that it is no sale; without the customer's name."""
    taken(stall)
    deposit = Deposit.objects.get()
    shown = helper.get(reverse("counter:slip", args=[deposit.pk])).content.decode()
    for told in ("Promise 1: Tumbler", "a hare", "Due by", "$20.00", "no sale yet"):
        assert told in shown
    assert "Lark" not in shown
    printed = helper.get(reverse("counter:slip_pdf", args=[deposit.pk]))
    assert printed.content.startswith(b"%PDF")


def test_a_sold_commission_shows_its_sale(stall: Stall, owner: Client) -> None:
    """The receipt counts the deposit as paid before."""
    promise = held(stall, taken(stall))
    sale = handed_over(stall, promise)
    assert f"Sale {sale.number}" in owner.get(page(promise)).content.decode()
    text = owner.get(reverse("counter:sale_text", args=[sale.pk])).content.decode()
    assert "Paid as a deposit" in text
    assert "Paid in cash" in text


def test_a_kept_commission_is_settled_from_the_tray(stall: Stall, owner: Client) -> None:
    """It shows who it is for until then; something has to be chosen for what is unknown."""
    told = document(stall, piece={"form": "", "ware": "GONE", "name": "A plate"})
    take_in(raws=[told], who=stall.helper, now=NOW)
    assert "Commission: unknown" in owner.get(reverse("counter:tray")).content.decode()
    address = reverse("counter:settle", args=[Unsettled.objects.get().pk])
    shown = owner.get(address).content.decode()
    assert CUSTOMER in shown
    assert "A plate" in shown
    form = {"day": "2026-12-05", "ware": "", "form": ""}
    assert "Choose a ware or a form" in owner.post(address, form).content.decode()
    form |= {"form": str(stall.bowl.form_id)}
    assert owner.post(address, form).status_code == 302
    assert Commission.objects.get().commitment.form == stall.bowl.form


def test_the_tills_page_lists_deposits_and_what_is_held(stall: Stall, helper: Client) -> None:
    """Whatever the way they were paid."""
    taken(stall)
    shown = helper.get(reverse("counter:cash")).content.decode()
    assert "Deposits on commissions" in shown
    assert "$20.00 is held for customers" in shown
