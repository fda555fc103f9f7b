"""The Shelf's list and a ware's own page: what stands where, and how it came there."""

import csv
import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import (
    NOW,
    FinishFactory,
    FormFactory,
    OwnerFactory,
    StudioFactory,
    UserFactory,
    WareFactory,
    shelf,
    stall,
    stocked,
)
from vendor.ledger import actions, holds, story
from vendor.ledger.models import Place

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def rows(pages: Client, **asked: str) -> list[list[str]]:
    """Return the list as a spreadsheet gets it, without its head."""
    answer = pages.get(reverse("ledger:shelf"), {"_export": "csv", **asked})
    return list(csv.reader(answer.content.decode("utf-8-sig").splitlines()))[1:]


def tumbler(finish: str) -> Any:
    """Return the tumbler in a finish."""
    form = FormFactory._meta.model.objects.filter(name="Tumbler").first() or FormFactory(
        name="Tumbler"
    )
    return WareFactory(form=form, finish=FinishFactory(name=finish))


def test_stock_is_listed_by_ware_grade_and_place(pages: Client) -> None:
    """What is held is told apart from what is free, and all of it is added up."""
    ware = WareFactory(own_name="Tumbler in celadon")
    stocked(ware, 12)
    stocked(ware, 2, grade="second")
    stocked(ware, 5, at=stall())
    holds.hold(
        key="h", ware_id=ware.pk, at=shelf(), quantity=3, purpose="commitment",
        label="Promise 12", who=OwnerFactory(), now=NOW,
    )  # fmt: skip
    page = pages.get(reverse("ledger:shelf")).content.decode()
    assert "Tumbler in celadon" in page
    found = {(row[2], row[3]): row[4:] for row in rows(pages)}
    assert found == {
        ("first", "Studio shelf"): ["12", "3", "9"],
        ("second", "Studio shelf"): ["2", "0", "2"],
        ("first", "Stall at Oxmere Mill"): ["5", "0", "5"],
    }


def test_the_list_is_found_and_narrowed(pages: Client) -> None:
    """By words, place, form, finish, grade, and by what is held."""
    celadon, ash = tumbler("celadon"), tumbler("ash")
    stocked(celadon, 12)
    stocked(ash, 2, grade="second", at=stall())
    holds.hold(
        key="h", ware_id=ash.pk, grade="second", at=stall(), quantity=2, purpose="order",
        label="Order 1", who=OwnerFactory(), now=NOW,
    )  # fmt: skip
    assert len(rows(pages, form="Tumbler")) == 2
    for asked in (
        {"q": "ash"},
        {"q": ash.code.lower()},
        {"place": "Stall at Oxmere Mill"},
        {"finish": "ash"},
        {"grade": "second"},
        {"held": "yes"},
        {"held": "all"},
    ):
        assert [row[1] for row in rows(pages, **asked)] == [ash.code], asked
    assert len(rows(pages, place="nowhere", grade="third")) == 2


def test_an_empty_shelf_says_what_to_do_first(pages: Client) -> None:
    """It leads to the opening stock."""
    page = pages.get(reverse("ledger:shelf")).content.decode()
    assert "Nothing on the shelf yet" in page
    assert reverse("ledger:opening") in page


def test_a_ware_shows_its_history_with_what_then_stood_where(pages: Client) -> None:
    """Opening 12, 5 moved, 1 broken: each line says what was left."""
    ware = WareFactory()
    who = OwnerFactory(first_name="Tansy")
    stocked(ware, 12, who=who)
    line = actions.Line(ware.pk, 5)
    actions.move(key="m", lines=[line], source=shelf(), target=stall(), who=who, now=NOW)
    actions.remove(
        key="r", lines=[actions.Line(ware.pk, 1)], source=stall(), to=Place.Kind.BROKEN,
        who=who, now=NOW, reason="fell off the table",
    )  # fmt: skip
    steps = story.story_of(ware)
    assert [(step.what, step.quantity, step.after) for step in steps] == [
        ("Taken out", 1, "Stall at Oxmere Mill 4"),
        ("Moved", 5, "Studio shelf 7, Stall at Oxmere Mill 5"),
        ("Opening stock", 12, "Studio shelf 12"),
    ]
    page = pages.get(reverse("ledger:ware", args=[ware.pk])).content.decode()
    assert "Tansy: fell off the table" in page
    assert "Stall at Oxmere Mill → Broken" in page


def test_holds_are_part_of_the_history(pages: Client) -> None:
    """What was set aside and given back is told, with how many were held then."""
    ware = WareFactory()
    stocked(ware, 4)
    who = OwnerFactory()
    held = holds.hold(
        key="h", ware_id=ware.pk, at=shelf(), quantity=2, purpose="order", label="Order 1",
        who=who, now=NOW,
    )  # fmt: skip
    assert "Order 1" in pages.get(reverse("ledger:ware", args=[ware.pk])).content.decode()
    holds.release(key="r", hold=held, who=who, now=NOW, reason="called off")
    told = [(step.what, step.quantity, step.after) for step in story.story_of(ware)[:2]]
    assert told == [("Hold ended", 2, "Studio shelf 0 held"), ("Held", 2, "Studio shelf 2 held")]


def test_a_late_entry_stands_where_it_was_recorded(pages: Client) -> None:
    """A running balance follows the order of recording, in which it never fell below zero."""
    ware = WareFactory()
    stocked(ware, 3, at=stall(), now=NOW)
    early = NOW - datetime.timedelta(hours=3)
    actions.sell(
        key="s", lines=[actions.Line(ware.pk, 1)], source=stall(), who=OwnerFactory(), now=NOW,
        happened_at=early,
    )  # fmt: skip
    assert [step.after for step in story.story_of(ware)] == [
        "Stall at Oxmere Mill 2",
        "Stall at Oxmere Mill 3",
    ]


def test_an_entry_shows_all_its_lines(pages: Client) -> None:
    """Who, when, why, and what moved from where to where."""
    ware, other = WareFactory(own_name="Salt pig"), WareFactory(own_name="Oil cruet")
    for each in (ware, other):
        stocked(each, 3)
    lines = [actions.Line(each.pk, 2) for each in (ware, other)]
    entry = actions.find(
        key="f", lines=lines, at=stall(), who=OwnerFactory(), now=NOW, reason="behind the jars"
    )
    page = pages.get(reverse("ledger:entry", args=[entry.pk])).content.decode()
    assert all(word in page for word in ("Salt pig", "Oil cruet", "behind the jars", "Found"))


def test_helpers_look_and_strangers_log_in(client: Client) -> None:
    """A helper sees the shelf and a ware, and no page that changes them."""
    ware = WareFactory()
    entry = stocked(ware, 3)
    looks = [
        reverse("ledger:shelf"),
        reverse("ledger:ware", args=[ware.pk]),
        reverse("ledger:entry", args=[entry.pk]),
    ]
    acts = [reverse(f"ledger:{name}") for name in ("opening", "found", "move", "take_out")]
    acts.append(reverse("ledger:reverse", args=[entry.pk]))
    for address in looks + acts:
        assert client.get(address).status_code == 302
    client.force_login(UserFactory(), backend=BACKEND)
    for address in looks:
        page = client.get(address)
        assert page.status_code == 200
        assert not any(act in page.content.decode() for act in acts)
    for address in acts:
        assert client.get(address).status_code == 403


def test_the_pages_take_as_many_statements_for_much_stock_as_for_little(
    pages: Client, django_assert_max_num_queries: Any
) -> None:
    """Queries don't grow with the shelf or with a ware's history."""
    ware = WareFactory()
    stocked(ware, 9)
    addresses = [
        reverse("ledger:shelf"),
        reverse("ledger:ware", args=[ware.pk]),
        reverse("ledger:opening"),
        reverse("ledger:move"),
        reverse("ledger:count") + "?place=studio",
    ]
    pages.get(addresses[0])
    counts = []
    for address in addresses:
        with django_assert_max_num_queries(30) as little:
            pages.get(address)
        counts.append(len(little))
    for n in range(12):
        stocked(WareFactory(), 5)
        stocked(ware, 1, key=f"more-{n}")
    for address, few in zip(addresses, counts, strict=True):
        with django_assert_max_num_queries(few):
            pages.get(address)
