"""All sales in one list, undoing one from its receipt, and every page by the rules of access."""

from collections.abc import Callable
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from tests.browsing import assert_accessible
from tests.counter.stalls import NOW, Stall
from vendor.counter.intake import take_in
from vendor.counter.models import Sale, Unsettled


def sold(stall: Stall, *documents: dict[str, Any]) -> None:
    take_in(raws=documents, who=stall.helper, now=NOW)


def logged_in(stall: Stall) -> Client:
    client = Client()
    client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_a_sale_is_found_by_what_was_sold_its_note_or_its_number(stall: Stall) -> None:
    """Totals are of what is found; a spreadsheet gets the numbers."""
    note = {"note": "For Ada"}
    sold(stall, stall.document((stall.tumbler, 2)), stall.document((stall.bowl, 1), **note))
    client, address = logged_in(stall), reverse("counter:sales")
    everything = client.get(address).content.decode()
    assert "2 × Tumbler, celadon" in everything
    assert "$122.27" in everything
    for words, there, gone in (
        ("tumbler", "2 × Tumbler", "Berry bowl"),
        ("ada", "Berry bowl", "2 × Tumbler"),
    ):
        found = client.get(address, {"q": words}).content.decode()
        assert there in found
        assert gone not in found
    sold(stall, stall.document((stall.tumbler, 1), (stall.tumbler, 2)))
    twice = client.get(address, {"q": "tumbler"}).content.decode()
    assert "2 sales" in twice
    table = client.get(address, {"_export": "csv"}).content.decode()
    assert "1 × Berry bowl, shino" in table


def test_the_list_takes_the_same_statements_however_many_sales(
    stall: Stall, django_assert_max_num_queries: Any
) -> None:
    """The lines of all of them in one."""
    client, address = logged_in(stall), reverse("counter:sales")
    sold(stall, stall.document())
    client.get(address)
    with django_assert_max_num_queries(20) as few:
        client.get(address)
    sold(stall, *[stall.document() for _ in range(8)])
    with django_assert_max_num_queries(20) as many:
        client.get(address)
    assert len(few) == len(many)


def test_a_sale_is_undone_from_its_receipt(stall: Stall) -> None:
    """With a reason; somebody else's is refused to a helper."""
    sold(stall, stall.document())
    take_in(raws=[stall.document()], who=stall.owner, now=NOW)
    own, others = Sale.objects.all()
    client = logged_in(stall)
    with time_machine.travel(NOW, tick=False):
        address = reverse("counter:undo", args=[own.pk])
        form = {"key": "k", "reason": "Rung up twice"}
        assert client.post(address, form | {"reason": " "}).status_code == 200
        assert b"Undone" in client.post(address, form, follow=True).content
        refused = client.post(reverse("counter:undo", args=[others.pk]), form | {"key": "l"})
    assert refused.status_code == 409
    assert b"ask them or the owner" in refused.content
    assert [hasattr(sale, "undoing") for sale in Sale.objects.all()] == [True, False]
    assert "Undone" in client.get(reverse("counter:sales"), {"state": "undone"}).content.decode()


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_every_page_of_the_counter_keeps_the_rules_of_access(
    today: Stall, phone: Page, log_in: Callable[[Page, Any], None]
) -> None:
    """Receipt, taking back, the tray, the forms: read by a program, as a person might not."""
    sold(today, today.document(fair=999))
    document = today.document(sold_at=NOW.isoformat())
    take_in(raws=[document | {"fair": 998}], who=today.helper, now=NOW)
    log_in(phone, today.owner)
    phone.emulate_media(reduced_motion="reduce")
    waiting = Unsettled.objects.latest("id")
    names = ("sales", "tray", "pieces", "cash", "bundles", "pin")
    pages = [reverse(f"counter:{name}") for name in names]
    for address in [*pages, reverse("counter:settle", args=[waiting.pk])]:
        phone.goto(address)
        assert_accessible(phone)
