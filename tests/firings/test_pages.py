"""The pages of the kiln: recording, looking, unloading, undoing, and what they refuse."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import FormFactory, WareFactory, shelf
from tests.firings.kiln import fired, owner, unloaded
from vendor.firings.models import Firing, Kiln
from vendor.ledger.models import Balance, Entry
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner(), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand at noon of the second of December."""
    noon = datetime.datetime(2026, 12, 2, 17, 0, tzinfo=datetime.UTC)
    monkeypatch.setattr("vendor.house.clock.now", lambda: noon)


def at(name: str, *args: Any) -> str:
    """Return the address of a page of this part."""
    return reverse(f"firings:{name}", args=args)


def loading(ware: Ware, pieces: str, **more: str) -> dict[str, str]:
    """Return a filled-in page of a glaze firing."""
    filled = {
        "key": "page-1",
        "kiln": "",
        "new_kiln": "Front loader",
        "kind": "glaze",
        "cone": "5.5",
        "fired_on": "2026-11-30",
        f"load-{ware.pk}": pieces,
    }
    return {**filled, **more}


def counting(firing: Firing, firsts: str, seconds: str = "", **more: str) -> dict[str, str]:
    """Return a filled-in unloading of a firing of one line."""
    line = firing.lines.get().pk
    causes = {f"{line}-{cause}": pieces for cause, pieces in more.items() if cause != "turn"}
    turn = more.get("turn", "0")
    return {"turn": turn, f"{line}-firsts": firsts, f"{line}-seconds": seconds, **causes}


def test_a_glaze_firing_is_recorded_with_a_kiln_named_in_place(pages: Client) -> None:
    """The cone is kept by its own name, and the kiln is there from now on."""
    ware = WareFactory()
    answer = pages.post(at("record", "glaze"), loading(ware, "12"))
    firing = Firing.objects.get()
    assert answer["Location"] == at("firing", firing.pk)
    assert (firing.cone, firing.kiln.name, firing.lines.get().loaded) == ("5½", "Front loader", 12)


def test_a_page_sent_twice_records_one_firing(pages: Client) -> None:
    """The second answer leads to the same firing."""
    filled = loading(WareFactory(), "12")
    first, second = (pages.post(at("record", "glaze"), filled) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert Firing.objects.count() == Kiln.objects.count() == 1


def test_a_bisque_firing_is_recorded_by_form(pages: Client) -> None:
    """Its page offers forms, not ware."""
    form = FormFactory(name="Tumbler")
    assert b"Tumbler" in pages.get(at("record", "bisque")).content
    filled = {"key": "b", "new_kiln": "Small round", "kind": "bisque", "cone": "06"}
    pages.post(at("record", "bisque"), {**filled, "fired_on": "2026-12-01", f"load-{form.pk}": "9"})
    assert Firing.objects.get().lines.get().form == form


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"cone": ""}, "This is still empty."),
        ({"cone": "٦"}, "is no cone"),
        ({"cone": "15"}, "is no cone"),
        ({"fired_on": "2036-11-30"}, "more than a year away"),
        ({"fired_on": "yesterday"}, "Choose a day"),
        ({"new_kiln": "  "}, "Choose a kiln, or name a new one"),
        ({"kind": "bisque"}, "is not one of the choices"),
        ({"hours": "0"}, "has to be 1 at least"),
    ],
)
def test_a_slip_is_told_beside_its_field(pages: Client, change: dict[str, str], told: str) -> None:
    """Nothing is recorded, and what was typed is kept."""
    answer = pages.post(at("record", "glaze"), loading(WareFactory(), "12", **change))
    assert told in answer.content.decode()
    assert 'value="12"' in answer.content.decode()
    assert not Firing.objects.exists()


@pytest.mark.parametrize(
    ("pieces", "told"),
    [
        ("", "The kiln is empty"),
        ("0", "The kiln is empty"),
        ("-1", "can&#x27;t be below zero"),
        ("5001", "slip of the keys"),
        ("9" * 60, "slip of the keys"),
        ("a dozen", "whole number of pieces"),
        ("1.5", "whole number of pieces"),
    ],
)
def test_an_impossible_number_of_pieces_is_told(pages: Client, pieces: str, told: str) -> None:
    """Empty, zero, negative, huge, words and fractions record nothing."""
    answer = pages.post(at("record", "glaze"), loading(WareFactory(), pieces))
    assert told in answer.content.decode()
    assert not Firing.objects.exists()
    assert not Kiln.objects.exists()


def test_a_firing_is_changed_before_it_is_unloaded(pages: Client) -> None:
    """The page shows what is in it, retired ware too."""
    ware = WareFactory(retired=True)
    firing = fired((ware, 12))
    assert 'value="12"' in pages.get(at("change", firing.pk)).content.decode()
    pages.post(at("change", firing.pk), loading(ware, "8", cone="6", kiln=str(firing.kiln_id)))
    assert firing.lines.get().loaded == 8


def test_an_unloaded_firing_is_not_changed_or_unloaded_again(pages: Client) -> None:
    """A look leads back to the firing; a page sent from before says what to do."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 3)))
    for name in ("change", "unload"):
        assert pages.get(at(name, firing.pk))["Location"] == at("firing", firing.pk)
    answer = pages.post(at("change", firing.pk), loading(ware, "8"))
    assert answer.status_code == 409
    assert b"undo the unloading first" in answer.content


def test_a_firing_is_unloaded_on_to_the_shelf(pages: Client) -> None:
    """Sent twice, it arrives once."""
    ware = WareFactory()
    firing = fired((ware, 12))
    assert b"12" in pages.get(at("unload", firing.pk)).content
    for _ in range(2):
        answer = pages.post(at("unload", firing.pk), counting(firing, "10", "1", cracked="1"))
        assert answer["Location"] == at("firing", firing.pk)
    assert Balance.objects.get(place=shelf(), ware=ware, grade="first").on_hand == 10
    page = pages.get(at("firing", firing.pk)).content.decode()
    assert "10 firsts, 1 seconds, 1 lost" in page
    assert "1 cracked" in page


def test_a_count_that_does_not_add_up_is_told_by_line(pages: Client) -> None:
    """What was typed is kept on the page."""
    firing = fired((WareFactory(own_name="Tumbler, celadon"), 12))
    answer = pages.post(at("unload", firing.pk), counting(firing, "10", "7"))
    assert answer.status_code == 409
    assert "Tumbler, celadon: 12 went in" in answer.content.decode()
    assert 'value="7"' in answer.content.decode()
    assert not Entry.objects.exists()


def test_an_old_page_does_not_unload_after_an_undoing(pages: Client) -> None:
    """The back button brings no wrong count in again."""
    firing = fired((WareFactory(), 12))
    old = counting(firing, "12")
    pages.post(at("unload", firing.pk), old)
    pages.post(at("undo", firing.pk), {"turn": "0", "reason": "wrong shelf"})
    answer = pages.post(at("unload", firing.pk), old)
    assert answer.status_code == 409
    assert "undone after this page was opened" in answer.content.decode()


def test_an_undoing_says_what_it_changes_and_needs_a_reason(pages: Client) -> None:
    """The pieces that go off the shelf again are listed."""
    firing = unloaded(fired((WareFactory(own_name="Tumbler, celadon"), 12)))
    page = pages.get(at("undo", firing.pk)).content.decode()
    assert "Tumbler, celadon" in page
    assert "reversing entry" in page
    pages.post(at("undo", firing.pk), {"turn": "0", "reason": "  "})
    firing.refresh_from_db()
    assert firing.is_unloaded


def test_calling_off_asks_first_and_can_be_taken_back(pages: Client) -> None:
    """A look at the page changes nothing."""
    firing = fired((WareFactory(), 12))
    pages.get(at("call_off", firing.pk))
    assert Firing.objects.get().is_open
    pages.post(at("call_off", firing.pk))
    assert Firing.objects.get().is_called_off
    assert pages.get(at("take_up", firing.pk)).status_code == 405
    pages.post(at("take_up", firing.pk))
    assert Firing.objects.get().is_open


def test_witness_cones_show_how_far_the_kiln_is_off(pages: Client) -> None:
    """Two firings a cone too hot show on the kilns' page."""
    for _ in range(2):
        firing = fired((WareFactory(), 3))
        said = {"shelf-0": "Top", "cone-0": "7", "hours": "30", "note": "slow"}
        pages.post(at("after", firing.pk), said)
    assert "one cone hotter" in pages.get(at("firing", firing.pk)).content.decode()
    assert "one cone hotter" in pages.get(at("kilns")).content.decode()


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"shelf-0": "Top"}, "which cone was down"),
        ({"cone-0": "6"}, "on which shelf"),
        ({"shelf-0": "Top", "cone-0": "6", "shelf-1": "top", "cone-1": "6"}, "listed twice"),
        ({"shelf-0": "Top", "cone-0": "99"}, "is no cone"),
    ],
)
def test_half_a_reading_is_told(pages: Client, said: dict[str, str], told: str) -> None:
    """A shelf has a cone and a cone has a shelf, once."""
    firing = fired((WareFactory(), 3))
    assert told in pages.post(at("after", firing.pk), said).content.decode()
    assert not firing.witness_cones.exists()
