"""Entering pieces on the Shelf pages: opening stock, found, moved, taken out, counted."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import (
    NOW,
    OwnerFactory,
    StudioFactory,
    UserFactory,
    WareFactory,
    shelf,
    stall,
    stocked,
)
from vendor.ledger import actions, holds
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Entry, Place
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def at(name: str, **asked: Any) -> str:
    """Return the address of a page of the Shelf."""
    query = "&".join(f"{key}={value}" for key, value in asked.items())
    return reverse(f"ledger:{name}") + (f"?{query}" if query else "")


def on_hand(ware: Ware, place: Place | None = None, grade: str = "first") -> int:
    """Return what stands of a ware at a place."""
    row = Balance.objects.filter(place=place or shelf(), ware=ware, grade=grade).first()
    return row.on_hand if row else 0


def test_a_full_shelf_is_entered_at_once(pages: Client) -> None:
    """Many lines, firsts and seconds; what is left empty is not entered. Sent twice, once."""
    first, second, third = (WareFactory() for _ in range(3))
    filled = {
        "key": "page-1",
        "place": "studio",
        f"{first.pk}-first": "12",
        f"{first.pk}-second": "2",
        f"{second.pk}-first": "",
        f"{third.pk}-first": "7",
    }
    for _ in range(2):
        assert pages.post(at("opening"), filled).status_code == 302
    assert [on_hand(each) for each in (first, second, third)] == [12, 0, 7]
    assert on_hand(first, grade="second") == 2
    assert Entry.objects.get().kind == Entry.Kind.OPENING
    assert audit() == []


def test_a_key_with_other_numbers_is_refused(pages: Client) -> None:
    """Back, another number, sent again: it is told, not taken for the first one."""
    ware = WareFactory()
    filled = {"key": "page-1", "place": "studio", f"{ware.pk}-first": "12"}
    pages.post(at("opening"), filled)
    answer = pages.post(at("opening"), {**filled, f"{ware.pk}-first": "13"})
    assert answer.status_code == 409
    assert "sent before with other contents" in answer.content.decode()
    assert on_hand(ware) == 12


@pytest.mark.parametrize(
    ("pieces", "told"),
    [
        ("", "No line has a piece"),
        ("0", "No line has a piece"),
        ("-3", "be below zero"),
        ("100001", "slip of the keys"),
        ("9" * 40, "slip of the keys"),
        ("twelve", "whole number"),
        ("1,5", "whole number"),
    ],
)
def test_an_impossible_number_is_told(pages: Client, pieces: str, told: str) -> None:
    """Empty, zero, negative, huge, words and fractions enter nothing."""
    ware = WareFactory()
    filled = {"key": "k", "place": "studio", f"{ware.pk}-first": pieces}
    assert told in pages.post(at("opening"), filled).content.decode()
    assert not Entry.objects.exists()


@pytest.mark.parametrize("place", ["", "kiln", "999", "²", "-1", "9" * 30])
def test_a_place_that_is_not_offered_is_refused(pages: Client, place: str) -> None:
    """Neither a way out nor a number that stands for nothing."""
    ware = WareFactory()
    filled = {"key": "k", "place": place, f"{ware.pk}-first": "3"}
    assert pages.post(at("opening"), filled).status_code == 200
    assert pages.get(at("move", place=place or "x")).status_code == 404
    assert not Entry.objects.exists()


def test_found_pieces_need_a_reason(pages: Client) -> None:
    """They are entered where they are."""
    ware = WareFactory()
    place = stall()
    filled = {"key": "k", "place": str(place.pk), f"{ware.pk}-first": "2", "reason": " "}
    pages.post(at("found"), filled)
    assert not Entry.objects.exists()
    pages.post(at("found"), {**filled, "reason": "under the table"})
    assert on_hand(ware, place) == 2


def test_pieces_are_moved_to_the_online_bin(pages: Client) -> None:
    """Sent twice they move once, even when all of them have gone."""
    ware = WareFactory()
    stocked(ware, 3)
    filled = {"key": "k", "target": "online", f"{ware.pk}-first": "3"}
    for _ in range(2):
        assert pages.post(at("move"), filled).status_code == 302
    assert (on_hand(ware), on_hand(ware, actions.the_place(Place.Kind.ONLINE))) == (0, 3)


def test_a_gallery_is_named_in_place(pages: Client) -> None:
    """And known from then on; a stall's name is not taken for one."""
    ware = WareFactory()
    stocked(ware, 5)
    stall()
    filled = {"key": "k1", f"{ware.pk}-first": "2", "new_gallery": "Gallery on the Quay"}
    pages.post(at("move"), filled)
    gallery = Place.objects.get(kind=Place.Kind.GALLERY)
    assert on_hand(ware, gallery) == 2
    answer = pages.post(at("move"), {**filled, "key": "k2", "new_gallery": "stall at oxmere mill"})
    assert "another place already" in answer.content.decode()
    back = {"key": "k3", f"{ware.pk}-first": "1", "target": "studio"}
    pages.post(at("move", place=gallery.pk), back)
    assert (on_hand(ware), on_hand(ware, gallery)) == (4, 1)


def test_a_gallery_named_for_a_refused_move_is_not_kept(pages: Client) -> None:
    """All or nothing."""
    ware = WareFactory()
    stocked(ware, 1)
    filled = {"key": "k1", f"{ware.pk}-first": "2", "new_gallery": "Gallery on the Quay"}
    assert pages.post(at("move"), filled).status_code == 409
    assert not Place.objects.filter(kind=Place.Kind.GALLERY).exists()


def test_more_than_is_free_is_not_moved(pages: Client) -> None:
    """A held piece stays; the sentence names what holds it."""
    ware = WareFactory()
    stocked(ware, 3)
    holds.hold(
        key="h", ware_id=ware.pk, at=shelf(), purpose="order", label="Order 1",
        who=OwnerFactory(), now=NOW,
    )  # fmt: skip
    filled = {"key": "k", "target": "online", f"{ware.pk}-first": "3"}
    answer = pages.post(at("move"), filled)
    assert "Order 1" in answer.content.decode()
    assert b"2 free of 3" in pages.get(at("move")).content
    assert on_hand(ware) == 3


@pytest.mark.parametrize("to", ["broken", "given", "traded", "own_use"])
def test_pieces_leave_unsold_for_a_reason(pages: Client, to: str) -> None:
    """Broken, given, traded, own use; never sold from here."""
    ware = WareFactory()
    stocked(ware, 3)
    filled = {"key": "k", "to": to, "reason": "a friend", f"{ware.pk}-first": "1"}
    pages.post(at("take_out"), {**filled, "to": "sold"})
    pages.post(at("take_out"), {**filled, "reason": ""})
    assert on_hand(ware) == 3
    pages.post(at("take_out"), filled)
    assert on_hand(ware) == 2


def counted(ware: Ware, pieces: str, seen: int, **more: str) -> dict[str, str]:
    """Return a filled-in count of firsts."""
    return {
        "key": "k",
        "reason": "counted twice",
        f"{ware.pk}-first": pieces,
        f"seen-{ware.pk}-first": str(seen),
        **more,
    }


def test_a_count_is_corrected_with_a_reason(pages: Client) -> None:
    """Only what was counted changes; sent twice, it is corrected once."""
    ware, other = WareFactory(), WareFactory()
    for each, pieces in ((ware, 12), (other, 5)):
        stocked(each, pieces)
    for _ in range(2):
        assert pages.post(at("count"), counted(ware, "10", 12)).status_code == 302
    assert (on_hand(ware), on_hand(other)) == (10, 5)
    assert Entry.objects.filter(kind=Entry.Kind.CORRECTION).count() == 1


def test_a_count_of_nothing_empties_the_place(pages: Client) -> None:
    """Zero is a count; an empty field is none."""
    ware = WareFactory()
    stocked(ware, 2)
    assert "Nothing was counted" in pages.post(at("count"), counted(ware, "", 2)).content.decode()
    pages.post(at("count"), counted(ware, "0", 2))
    assert on_hand(ware) == 0


def test_a_count_that_agrees_changes_nothing(pages: Client) -> None:
    """And is no entry."""
    ware = WareFactory()
    stocked(ware, 2)
    assert pages.post(at("count"), counted(ware, "2", 2)).status_code == 302
    assert Entry.objects.count() == 1


def test_a_count_from_an_old_page_is_asked_for_again(pages: Client) -> None:
    """A sale in between would be undone by it."""
    ware = WareFactory()
    place = stall()
    stocked(ware, 12, at=place)
    line = actions.Line(ware.pk, 1)
    actions.sell(key="s", lines=[line], source=place, who=OwnerFactory(), now=NOW)
    answer = pages.post(at("count", place=place.pk), counted(ware, "12", 12))
    assert "11 are recorded now" in answer.content.decode()
    assert on_hand(ware, place) == 11


def test_a_ware_that_stands_nowhere_can_be_counted(pages: Client) -> None:
    """Its own page offers both grades."""
    ware = WareFactory()
    pages.post(at("count", ware=ware.pk), counted(ware, "4", 0))
    assert on_hand(ware) == 4
    assert pages.get(at("count", ware="x")).status_code == 404


def test_helpers_correct_counts_at_the_stall_only(client: Client) -> None:
    """The studio shelf is the owner's."""
    ware, place = WareFactory(), stall()
    stocked(ware, 5, at=place)
    stocked(ware, 5)
    client.force_login(UserFactory(), backend=BACKEND)
    assert client.post(at("count"), counted(ware, "4", 5)).status_code == 403
    assert client.get(at("count", place=place.pk)).status_code == 200
    assert client.post(at("count", place=place.pk), counted(ware, "4", 5)).status_code == 302
    assert (on_hand(ware), on_hand(ware, place)) == (5, 4)
