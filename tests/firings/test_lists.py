"""The kiln's lists: its book, its kilns, its losses, and how many statements they take."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, FinishFactory, FormFactory, WareFactory
from tests.firings.kiln import TODAY, count, fired, helper, kiln, owner, unloaded
from vendor.firings import actions
from vendor.firings.losses import loss_rows
from vendor.firings.models import Kiln

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def at(name: str, *args: Any) -> str:
    """Return the address of a page of this part."""
    return reverse(f"firings:{name}", args=args)


def a_season(firings: int) -> None:
    """Record and unload so many firings of two lines, with losses and witness cones."""
    for _ in range(firings):
        firing = fired((WareFactory(), 5), (WareFactory(), 4))
        actions.read_witness_cones(
            firing=firing, cones={"Top": "6", "Bottom": "7"}, who=owner(), now=NOW
        )
        unloaded(firing, count(firing, 4, cracked=1), count(firing, 2, 1, 1, warped=1))
    fired((WareFactory(), 3))


def test_what_is_to_be_unloaded_comes_first(pages: Client) -> None:
    """The page of the kiln leads to the unloading."""
    firing = fired((WareFactory(), 12))
    page = pages.get(at("index")).content.decode()
    assert "Firing 1 is to be unloaded" in page
    assert at("unload", firing.pk) in page


def test_an_empty_book_says_what_to_do_first(pages: Client) -> None:
    """It leads to the recording."""
    page = pages.get(at("index")).content.decode()
    assert "No firing in the book yet" in page
    assert at("record", "glaze") in page


def test_without_ware_the_loading_leads_to_the_ware(pages: Client) -> None:
    """There is nothing to load yet."""
    for kind in ("glaze", "bisque"):
        assert b"Nothing to load yet" in pages.get(at("record", kind)).content
    assert pages.get(at("record", "raku")).status_code == 404


def test_the_book_is_found_narrowed_and_taken_away(pages: Client) -> None:
    """Words, filters and a spreadsheet all work on the same rows."""
    unloaded(fired((WareFactory(), 12)))
    fired((FormFactory(), 9), kind="bisque", cone="06", kiln=kiln("Small round"))

    def taken_away(**asked: str) -> list[str]:
        answer = pages.get(at("index"), {"_export": "csv", **asked})
        return [line.split(",")[0] for line in answer.content.decode().splitlines()[1:]]

    assert taken_away() == ["Firing 2", "Firing 1"]
    assert taken_away(state="Unloaded") == ["Firing 1"]
    assert taken_away(q="small round") == ["Firing 2"]
    assert taken_away(kind="bisque", state="Unloaded") == []


def test_losses_are_told_by_form_and_cause() -> None:
    """Two ware of one form are one row; 3 lost of 24 are 12.5 %."""
    form = FormFactory(name="Tumbler")
    first, second = (WareFactory(form=form, finish=FinishFactory()) for _ in range(2))
    firing = fired((first, 12), (second, 12))
    unloaded(firing, count(firing, 10, 0, cracked=2), count(firing, 10, 1, 1, cracked=1))
    row = loss_rows()[0]
    assert (row.form.name, row.loaded, row.seconds, row.lost) == ("Tumbler", 24, 1, 3)
    assert (row.lost_ppm, row.why) == (125_000, "3 cracked")


def test_losses_are_narrowed_by_kind_kiln_and_day(pages: Client) -> None:
    """What is asked for is counted, and nothing else."""
    old = TODAY - datetime.timedelta(days=90)
    firing = fired((WareFactory(), 4), fired_on=old, kiln=kiln("Small round"))
    unloaded(firing, count(firing, 0, 0, bloated=4))
    bisque = fired((FormFactory(), 9), kind="bisque", cone="06")
    unloaded(bisque, count(bisque, 8, 0, exploded=1))
    fired((WareFactory(), 3))
    assert [row.lost for row in loss_rows()] == [4, 1]
    assert [row.lost for row in loss_rows(kind="bisque")] == [1]
    assert [row.lost for row in loss_rows(kiln=Kiln.objects.get(name="Small round"))] == [4]
    assert [row.lost for row in loss_rows(since=TODAY)] == []
    asked = {"kind": "glaze", "since": str(old)}
    assert "4 bloated" in pages.get(at("losses"), asked).content.decode()
    assert pages.get(at("losses"), {"kiln": "x", "since": "y"}).status_code == 200


def test_a_kiln_is_added_and_measured_in_the_studios_units(pages: Client) -> None:
    """620 sq in are kept as 4,000 cm² and come back as 620 sq in."""
    pages.post(at("new_kiln"), {"name": "Small round", "area": "620"})
    found = Kiln.objects.get()
    assert found.shelf_area_cm2 == 4_000
    assert "620 sq in" in pages.get(at("kilns")).content.decode()
    assert 'value="620"' in pages.get(at("kiln", found.pk)).content.decode()
    assert b"This is taken already." in pages.post(at("new_kiln"), {"name": "Small round"}).content


@pytest.mark.parametrize("name", ["index", "kilns", "losses", "new_kiln"])
def test_the_pages_take_as_many_statements_for_much_data_as_for_little(
    pages: Client, django_assert_max_num_queries: Any, name: str
) -> None:
    """Queries don't grow with the season."""
    a_season(1)
    with django_assert_max_num_queries(30) as little:
        pages.get(at(name))
    a_season(8)
    with django_assert_max_num_queries(len(little)):
        pages.get(at(name))


@pytest.mark.parametrize("name", ["firing", "change", "unload"])
def test_a_firings_pages_take_as_many_statements_for_many_lines(
    pages: Client, django_assert_max_num_queries: Any, name: str
) -> None:
    """Queries don't grow with what is in the kiln."""
    small, large = fired((WareFactory(), 3)), fired(*((WareFactory(), 2) for _ in range(12)))
    with django_assert_max_num_queries(30) as little:
        pages.get(at(name, small.pk))
    with django_assert_max_num_queries(len(little)):
        pages.get(at(name, large.pk))


@pytest.mark.parametrize("name", ["index", "kilns", "losses", "new_kiln"])
def test_the_kilns_pages_are_the_owners(client: Client, name: str) -> None:
    """A helper is refused, a stranger asked to log in."""
    assert client.get(at(name)).status_code == 302
    client.force_login(helper(), backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(at(name)).status_code == 403


def test_a_helper_neither_loads_nor_unloads(client: Client) -> None:
    """What comes out of the kiln is entered by the owner."""
    firing = fired((WareFactory(), 3))
    client.force_login(helper(), backend="django.contrib.auth.backends.ModelBackend")
    for name in ("firing", "change", "unload", "undo", "after", "call_off", "take_up"):
        assert client.post(at(name, firing.pk)).status_code == 403
