"""The owner's tray: what was kept becomes a sale after all, or is put aside with a reason."""

import datetime
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, SATURDAY, SUNDAY, Stall, reckoned
from tests.factories import UserFactory
from vendor.counter import settling, undoings
from vendor.counter.errors import NotYours, SettledAlready
from vendor.counter.intake import take_in
from vendor.counter.models import Sale, Unsettled
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece


def kept(stall: Stall, **changes: Any) -> Unsettled:
    """Send a document that can't be taken as it stands, by the helper."""
    document = reckoned(stall.document((stall.bowl, 1)) | changes)
    take_in(raws=[document], who=stall.helper, now=NOW)
    return Unsettled.objects.get(document__key=document["key"])


def take(stall: Stall, unsettled: Unsettled, **more: Any) -> Sale:
    given: dict[str, Any] = {"weekend": stall.weekend, "day": SATURDAY, "who": stall.owner}
    return settling.take_as_sale(unsettled=unsettled, now=NOW, **(given | more))


def test_a_sale_of_no_selling_day_is_taken_under_the_day_that_the_owner_names(stall: Stall) -> None:
    """Sold to a neighbour while setting up on Friday: it counts to Saturday."""
    friday = kept(stall, sold_at="2026-12-04T20:00:00Z")
    sale = take(stall, friday)
    assert (sale.day, sale.seller, sale.number) == (SATURDAY, stall.helper, 1)
    assert sale.entry.day == SATURDAY - datetime.timedelta(days=1)
    friday.refresh_from_db()
    assert (friday.sale, friday.settled_by) == (sale, stall.owner)
    assert "Taken as sale 1" in friday.settlement
    assert audit() == []


def test_sending_a_settled_document_again_answers_with_its_number(stall: Stall) -> None:
    """The device learns that it is in the books."""
    friday = kept(stall, sold_at="2026-12-04T20:00:00Z")
    take(stall, friday)
    [answer] = take_in(raws=[friday.document], who=stall.helper, now=NOW)
    assert (answer.outcome, answer.number) == ("had", 1)


def test_a_late_sale_of_a_closed_weekend_goes_under_an_open_day(stall: Stall) -> None:
    """Closed stays closed: the ledger enters it now, the sale counts to next Saturday."""
    ledger.close_through(place=stall.place, day=SUNDAY)
    late = kept(stall)
    monday = datetime.datetime(2026, 12, 7, 15, tzinfo=datetime.UTC)
    next_saturday = SATURDAY + datetime.timedelta(days=7)
    sale = settling.take_as_sale(
        unsettled=late, weekend=stall.next_weekend, day=next_saturday, who=stall.owner, now=monday
    )
    assert (sale.day, sale.entry.day) == (next_saturday, monday.date())
    assert audit() == []


def test_an_unknown_code_needs_its_ware(stall: Stall) -> None:
    """An old tag: the owner says which ware it was; the price stays what was paid."""
    document = stall.document((stall.bowl, 1))
    document["lines"][0] |= {"ware": "OLD-TAG", "name": "Some bowl", "list_price": 4000}
    old = kept(stall, lines=document["lines"])
    with pytest.raises(Refused, match="OLD-TAG"):
        take(stall, old)
    sale = take(stall, old, instead={"OLD-TAG": stall.bowl})
    line = sale.lines.get()
    assert (line.ware, line.name, line.list_price) == (stall.bowl, "Some bowl", 4000)


def test_a_held_piece_needs_a_word(stall: Stall) -> None:
    """The owner says whether it was the held one."""
    hold = stall.hold(stall.bowl, 4)
    waiting = kept(stall)
    with pytest.raises(HeldPiece):
        take(stall, waiting)
    assert Sale.objects.count() == 0
    take(stall, waiting, overrides=[hold])
    hold.refresh_from_db()
    assert hold.quantity == 0


def test_figures_that_do_not_add_up_are_taken_as_we_reckon_them(stall: Stall) -> None:
    """The till tells of the difference; the books hold what the lines come to."""
    document = stall.document((stall.bowl, 1))
    document["figures"]["total"] += 100
    document["payments"][0]["settles"] += 100
    take_in(raws=[document], who=stall.helper, now=NOW)
    sale = take(stall, Unsettled.objects.get())
    assert (sale.total, sale.payments.get().amount) == (4934, 4934)


def test_what_is_no_sale_is_put_aside_with_a_reason(stall: Stall) -> None:
    """It stays on record; a device that sends it again is told so."""
    waiting = kept(stall, fair=999)
    with pytest.raises(Refused, match="say why"):
        settling.put_aside(unsettled=waiting, reason=" ", who=stall.owner, now=NOW)
    settling.put_aside(unsettled=waiting, reason="Rung up twice", who=stall.owner, now=NOW)
    [answer] = take_in(raws=[waiting.document], who=stall.helper, now=NOW)
    assert (answer.outcome, answer.reason) == ("aside", "Rung up twice")
    with pytest.raises(SettledAlready, match="Rung up twice"):
        take(stall, waiting)


def test_another_currency_is_not_guessed_at(stall: Stall) -> None:
    """It can only be put aside."""
    terms = stall.document()["terms"] | {"currency": "EUR"}
    with pytest.raises(Refused, match="EUR"):
        take(stall, kept(stall, terms=terms))


def test_a_helper_does_not_settle(stall: Stall) -> None:
    """The tray is the owner's."""
    with pytest.raises(NotYours):
        take(stall, kept(stall, fair=999), who=stall.helper)


@pytest.fixture
def pages(stall: Stall) -> Any:
    """The owner's and the helper's devices on Saturday."""
    with time_machine.travel(NOW, tick=False):
        clients = []
        for user in (stall.owner, stall.helper):
            client = Client()
            client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
            clients.append(client)
        yield clients


def test_the_tray_is_settled_on_its_pages(stall: Stall, pages: list[Client]) -> None:
    """The sell page tells the owner; the tray lists it; one form takes it."""
    owner, helper = pages
    hold = stall.hold(stall.bowl, 4)
    waiting = kept(stall)
    assert b"1 entry to settle" in owner.get(reverse("counter:sell")).content
    assert b"to settle" not in helper.get(reverse("counter:sell")).content
    assert helper.get(reverse("counter:tray")).status_code == 403
    assert b"Sale: a held piece" in owner.get(reverse("counter:tray")).content
    address = reverse("counter:settle", args=[waiting.pk])
    page = owner.get(address).content.decode()
    assert "Berry bowl, shino" in page
    assert "It was the piece of Promise 12" in page
    refused = owner.post(address, {"day": SATURDAY.isoformat(), "held": ""})
    assert b"is held (Promise 12)" in refused.content
    taken = owner.post(address, {"day": SATURDAY.isoformat(), "held": str(hold.pk)})
    assert taken.status_code == 302
    assert Sale.objects.get().lines.get().ware == stall.bowl
    assert owner.get(address).status_code == 404


def test_what_waits_is_put_aside_on_its_page(stall: Stall, pages: list[Client]) -> None:
    """With a reason; without one it stays."""
    owner, helper = pages
    waiting = kept(stall, fair=999)
    address = reverse("counter:put_aside", args=[waiting.pk])
    assert helper.post(address, {"reason": "x"}).status_code == 403
    assert owner.post(address, {"reason": ""}).status_code == 409
    assert owner.post(address, {"reason": "Rung up twice"}).status_code == 302
    assert Unsettled.objects.get().settlement == "Rung up twice"


def test_what_its_seller_undoes_waits_no_more(stall: Stall) -> None:
    """Kept for the owner, undone at the stall: settled without a sale, once, by who sent it."""
    waiting = kept(stall, sold_at="2026-12-04T20:00:00Z")
    undo = {"format": "wareboard.undo", "version": 1, "key": "a" * 32, "sale": waiting.key}
    undo["reason"] = "Rung up wrong"

    def outcomes(who: User, *undos: dict[str, object]) -> list[str]:
        return [each.outcome for each in undoings.take_in(raws=undos, who=who, now=NOW)]

    assert outcomes(UserFactory(), undo) == ["refused"]
    assert outcomes(stall.helper, undo, undo) == ["taken", "had"]
    assert outcomes(stall.helper, undo | {"sale": "b" * 32}) == ["refused"]
    assert Unsettled.objects.get().settlement == "Undone by the seller: Rung up wrong"
    assert Sale.objects.count() == 0
