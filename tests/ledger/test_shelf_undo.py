"""Undoing an entry from the Shelf: what it says, whom it lets, and what it leaves to others."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, OwnerFactory, StudioFactory, WareFactory, shelf, stall, stocked
from vendor.ledger import actions, story
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Entry, Place

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def undo(pages: Client, entry: Entry, reason: str = "miscounted") -> int:
    """Ask for an entry to be undone, and return the answer's status."""
    answer = pages.post(reverse("ledger:reverse", args=[entry.pk]), {"reason": reason})
    return answer.status_code


def test_an_undoing_says_what_it_will_change(pages: Client) -> None:
    """The pieces, and the way that they go back."""
    entry = stocked(WareFactory(own_name="Salt pig"), 12)
    page = pages.get(reverse("ledger:reverse", args=[entry.pk])).content.decode()
    assert "Salt pig" in page
    assert "Studio shelf → Adjusted" in page


def test_an_entry_is_undone_once(pages: Client) -> None:
    """Sent twice, one reversing entry; a word of reason is needed."""
    entry = stocked(WareFactory(), 12)
    assert undo(pages, entry, " ") == 200
    assert undo(pages, entry) == undo(pages, entry) == 302
    assert Balance.objects.get().on_hand == 0
    assert Entry.objects.filter(reverses=entry).count() == 1
    page = pages.get(reverse("ledger:entry", args=[entry.pk])).content.decode()
    assert "Undone by" in page
    assert audit() == []


def test_pieces_that_have_gone_are_not_taken_back(pages: Client) -> None:
    """The sentence says what is missing."""
    ware = WareFactory()
    entry = stocked(ware, 2)
    line = actions.Line(ware.pk, 1)
    actions.move(key="m", lines=[line], source=shelf(), target=stall(), who=OwnerFactory(), now=NOW)
    assert undo(pages, entry) == 409
    assert Balance.objects.get(place=shelf()).on_hand == 1


def test_what_a_document_caused_is_undone_by_that_document(pages: Client) -> None:
    """A sale, an unloading and a packing list would disagree with the ledger otherwise."""
    ware = WareFactory()
    who = OwnerFactory()
    line = actions.Line(ware.pk, 1)
    stocked(ware, 9)
    entries = [
        actions.receive(key="firing:1", lines=[line], into=shelf(), who=who, now=NOW),
        actions.sell(key="sale-1", lines=[line], source=shelf(), who=who, now=NOW),
        actions.take_back(
            key="back-1", lines=[line], into=shelf(), who=who, now=NOW, reason="chip"
        ),
        actions.move(key="van-1", lines=[line], source=shelf(), target=stall(), who=who, now=NOW),
    ]
    for entry in entries:
        assert story.why_not_here(entry)
        assert undo(pages, entry) == 200
        page = pages.get(reverse("ledger:entry", args=[entry.pk])).content.decode()
        assert "Undo this entry" not in page
    assert not Entry.objects.filter(kind=Entry.Kind.REVERSAL).exists()


def test_what_the_shelf_pages_entered_is_undone_there(pages: Client) -> None:
    """Found, moved, taken out, corrected."""
    ware = WareFactory()
    who = OwnerFactory()
    line = actions.Line(ware.pk, 1)
    stocked(ware, 9)
    common = {"lines": [line], "who": who, "now": NOW}
    key = story.SHELF_KEY
    entries = [
        actions.find(key=f"{key}1", at=shelf(), reason="found", **common),
        actions.move(key=f"{key}2", source=shelf(), target=stall(), **common),
        actions.remove(
            key=f"{key}3", source=shelf(), to=Place.Kind.GIVEN, reason="a gift", **common
        ),
    ]
    for entry in reversed(entries):
        assert undo(pages, entry) == 302
    assert Balance.objects.get(place=shelf()).on_hand == 9
    assert audit() == []


def test_an_undoing_is_not_undone(pages: Client) -> None:
    """What is right is entered afresh."""
    entry = stocked(WareFactory(), 2)
    undo(pages, entry)
    undoing = Entry.objects.get(reverses=entry)
    assert undo(pages, undoing) == 200
    assert "enter what is right afresh" in story.why_not_here(undoing)
