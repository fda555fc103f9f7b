"""The round shows each person the pages that are there and open to them, the current one marked."""

from types import SimpleNamespace
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.contrib.auth.models import AnonymousUser
from django.template import Context, Template
from django.test import RequestFactory, override_settings
from django.urls import resolve

from tests.factories import OwnerFactory, StudioFactory, UserFactory
from vendor.house import season

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.house.style.urls")]
OWNERS = {"Promises", "Reports"}


def page(user: Any, address: str = "/studio/home/", studio: Any = None) -> BeautifulSoup:
    """Return the round as a visitor sees it on a page."""
    request = RequestFactory().get(address)
    request.user = user
    request.studio = studio or StudioFactory()  # type: ignore[attr-defined]
    request.resolver_match = resolve(address)
    template = Template("{% load wareboard %}{% season_round %}")
    html = template.render(Context({"request": request, "csrf_token": "token"}))
    return BeautifulSoup(html, "html.parser")


def words(links: Any) -> list[str]:
    return [link.find(string=True).strip() for link in links]


def test_the_owner_sees_the_whole_round_in_its_order() -> None:
    """Ten entries, as the season goes."""
    assert words(page(OwnerFactory()).select(".round ol a")) == [
        "Home",
        "Fire",
        "Shelf",
        "Promises",
        "Tags",
        "Pack",
        "Sell",
        "Close",
        "Restock",
        "Reports",
    ]


def test_a_helper_sees_what_is_open_to_helpers() -> None:
    """What would be refused is not offered; settings are the owner's."""
    shown = page(UserFactory())
    assert not OWNERS & set(words(shown.select(".round ol a")))
    assert "Settings" not in shown.get_text()
    assert words(shown.select(".bar a")) == ["Home", "Shelf", "Sell", "Close"]


def test_a_stranger_sees_no_round() -> None:
    """Before logging in there is the name of the house and nothing to open."""
    shown = page(AnonymousUser())
    assert not shown.select("ol a")
    assert not shown.select(".bar")
    assert "Log out" not in shown.get_text()


def test_the_current_page_is_always_in_view() -> None:
    """In the round, and in the phone's bar: as its own entry, or as the word on the button."""
    at_shelf = page(OwnerFactory(), "/ledger/shelf/")
    assert words(at_shelf.select('[aria-current="page"]')) == ["Shelf", "Shelf"]
    assert at_shelf.select_one(".bar button").get_text(strip=True) == "More"
    at_restock = page(OwnerFactory(), "/restock/index/")
    assert words(at_restock.select('[aria-current="page"]')) == ["Restock"]
    assert words(at_restock.select(".bar button")) == ["Restock"]


def test_a_page_within_a_part_belongs_to_its_entry() -> None:
    """A form's page in the ware part is under Shelf, though not the shelf itself."""
    match: Any = SimpleNamespace(view_name="ware:form", namespace="ware")
    shown = season.shown(season.ROUND, OwnerFactory(), match)
    assert [(entry.name, entry.current) for entry in shown if entry.current] == [("Shelf", "true")]


@override_settings(ROOT_URLCONF="vendor.house.urls")
def test_pages_that_are_not_there_are_left_out() -> None:
    """The round never leads to nowhere."""
    assert season.shown(season.ROUND, OwnerFactory(), None) == []
    assert season.address_of("labels:index", OwnerFactory()) is None


def test_logging_out_is_sent_and_not_followed() -> None:
    """A form with the safety mark, named with who is logged in."""
    shown = page(OwnerFactory())
    form = shown.select_one("form[method=post]")
    assert form["action"] == "/house/logout/"
    assert form.select_one("[name=csrfmiddlewaretoken]")["value"] == "token"
    assert "Tansy" in shown.select_one(".who").get_text()
