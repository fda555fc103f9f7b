"""The pages of forms, finishes and ware."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import (
    NOW,
    FinishFactory,
    FormFactory,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    UserFactory,
    WareFactory,
)
from vendor.house.models import Studio
from vendor.ware import actions
from vendor.ware.errors import LooksAlike, NothingMade
from vendor.ware.models import Finish, Form, Ware

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
TUMBLER = {"name": "Tumbler", "height": "4 1/2", "width": "3¼ in", "clay": "1 lb"}


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in; the studio measures in inches."""
    StudioFactory()
    client.force_login(OwnerFactory(), backend=BACKEND)
    return client


def at(name: str, *args: Any) -> str:
    """Return the address of a page of this part."""
    return reverse(f"ware:{name}", args=args)


def test_a_form_is_added_in_the_studios_units(pages: Client) -> None:
    """4½ in are 114 mm, 1 lb is 454 g, and the code comes from the name."""
    pages.post(at("new_form"), TUMBLER)
    form = Form.objects.get()
    assert (form.code, form.height_mm, form.width_mm, form.clay_g) == ("TUM", 114, 83, 454)


def test_a_form_in_centimetres(pages: Client) -> None:
    """Where the studio measures so."""
    Studio.objects.update(units="cm")
    said = {"name": "Tumbler", "code": "tmb", "height": "11,5", "width": "8.5", "clay": "450"}
    pages.post(at("new_form"), said)
    form = Form.objects.get()
    assert (form.code, form.height_mm, form.width_mm, form.clay_g) == ("TMB", 115, 85, 450)
    assert 'value="11.5 cm"' in pages.get(at("form", form.pk)).content.decode()


def test_a_measure_that_was_left_alone_keeps_its_millimetres(pages: Client) -> None:
    """115 mm are shown as 4½ in, and stay 115 mm when only the name is changed."""
    form = FormFactory(name="Tumbler", height_mm=115, width_mm=85)
    page = pages.get(at("form", form.pk)).content.decode()
    assert 'value="4½ in"' in page
    said = {"name": "Beaker", "code": form.code, "height": "4½ in", "width": "3¼ in"}
    pages.post(at("form", form.pk), said)
    form.refresh_from_db()
    assert (form.name, form.height_mm, form.width_mm) == ("Beaker", 115, 85)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"height": ""}, "still empty"),
        ({"height": "tall"}, "can&#x27;t be read"),
        ({"height": "-4"}, "can&#x27;t be read"),
        ({"height": "100"}, "larger than any kiln"),
        ({"clay": "some"}, "can&#x27;t be read"),
        ({"name": " "}, "still empty"),
        ({"code": "TOOLONG"}, "too long"),
        ({"code": "T M"}, "capital letters"),
        ({"code": "ТУМ"}, "capital letters"),
    ],
)
def test_a_slip_is_told_beside_its_field(pages: Client, change: dict[str, str], told: str) -> None:
    """Nothing is saved."""
    answer = pages.post(at("new_form"), {**TUMBLER, **change})
    assert told in answer.content.decode()
    assert not Form.objects.exists()


def test_a_name_or_code_is_used_once(pages: Client) -> None:
    """Sent twice, a form is there once; a code that looks like another is refused."""
    pages.post(at("new_form"), TUMBLER)
    assert "taken already" in pages.post(at("new_form"), TUMBLER).content.decode()
    FormFactory(name="Bowl", code="BOW")
    answer = pages.post(at("new_form"), {**TUMBLER, "name": "Other", "code": "B0W"})
    assert answer.status_code == 409
    assert "easily taken for BOW" in answer.content.decode()
    assert Form.objects.count() == 2


def test_a_finish_says_what_is_known_of_food_contact(pages: Client) -> None:
    """A test on record needs its laboratory; nothing here calls a piece fit for food."""
    said = {"name": "celadon", "colour": "#9db8a0", "food_contact": "tested", "food_note": " "}
    page = pages.post(at("new_finish"), said).content.decode()
    assert "which laboratory tested it" in page
    assert "food safe" not in page.casefold()
    assert "ask a qualified laboratory" in page
    pages.post(at("new_finish"), {**said, "food_note": "Quay Laboratory, May 2026, mugs"})
    assert Finish.objects.get().code == "CEL"
    assert b"Laboratory test on record" in pages.get(at("finishes")).content


@pytest.mark.parametrize("colour", ["red", "#12345", "#9db8a0;x", "url(x)"])
def test_a_colour_is_a_colour(pages: Client, colour: str) -> None:
    """It is drawn, so nothing else may stand there."""
    said = {"name": "celadon", "colour": colour, "food_contact": "untested"}
    pages.post(at("new_finish"), said)
    assert not Finish.objects.exists()


def test_many_ware_are_made_at_once(pages: Client) -> None:
    """Each ticked finish becomes ware with a code; sent twice, once."""
    form = FormFactory(name="Tumbler", code="TUM")
    celadon, ash, _ = (FinishFactory(code=code) for code in ("CEL", "ASH", "SHI"))
    ticked = {"finishes": [celadon.pk, ash.pk]}
    for _ in range(2):
        pages.post(at("make", form.pk), ticked)
    assert sorted(ware.code for ware in Ware.objects.all()) == ["TUM-ASH", "TUM-CEL"]
    with pytest.raises(NothingMade):
        actions.make_ware(form=form, finishes=[celadon], who=OwnerFactory(), now=NOW)


def test_where_nothing_is_left_to_make_a_finish_is_asked_for(pages: Client) -> None:
    """It leads to the finishes."""
    ware = WareFactory()
    page = pages.get(at("make", ware.form_id)).content.decode()
    assert "It is there in every finish" in page


def test_a_piece_of_which_there_is_one(pages: Client) -> None:
    """It has a name of its own, and there may be another of that form and finish."""
    ware = WareFactory(form__code="CAS", finish__code="TEN")
    said = {"form": ware.form_id, "finish": ware.finish_id, "one_of_a_kind": "on"}
    pages.post(at("new_ware"), {**said, "own_name": "Harvest casserole"})
    made = Ware.objects.get(own_name="Harvest casserole")
    assert (made.code, made.one_of_a_kind) == ("CAS-TEN-2", True)
    usual = {"form": ware.form_id, "finish": ware.finish_id}
    assert "already" in pages.post(at("new_ware"), usual).content.decode()


def test_a_ware_keeps_its_form_and_finish(pages: Client) -> None:
    """What is on tags does not change its shape; it can be retired."""
    ware, other = WareFactory(), FormFactory()
    said = {"form": other.pk, "code": ware.code, "retired": "on", "note": "sold well"}
    pages.post(at("ware", ware.pk), said)
    kept = Ware.objects.get()
    assert (kept.form, kept.retired, kept.note) == (ware.form, True, "sold well")


def test_a_code_that_is_taken_is_refused() -> None:
    """The same code, whoever sends it."""
    StudioFactory()
    ware, other = WareFactory(code="TUM-CEL"), WareFactory()
    other.code = ware.code
    with pytest.raises(LooksAlike, match="is taken"):
        actions.save_ware(ware=other, who=OwnerFactory(), now=NOW)


def test_the_catalogue_is_found_and_narrowed(pages: Client) -> None:
    """By words, form, finish and state; without a price shows what can't be sold."""
    priced = PriceFactory(ware=WareFactory(own_name="Salt pig")).ware
    retired = WareFactory(retired=True)

    def codes(**asked: str) -> list[str]:
        answer = pages.get(at("index"), {"_export": "csv", **asked})
        return [line.split(",")[-5] for line in answer.content.decode().splitlines()[1:]]

    assert codes(q="salt") == [priced.code]
    assert codes(state="retired") == codes(state="unpriced") == [retired.code]
    assert codes(finish=retired.finish.name) == [retired.code]
    assert len(codes()) == 2


def test_empty_lists_say_what_to_do_first(pages: Client) -> None:
    """Each leads to its first step."""
    for name, first in (("index", "new_form"), ("forms", "new_form"), ("finishes", "new_finish")):
        assert at(first) in pages.get(at(name)).content.decode()


@pytest.mark.parametrize("name", ["index", "forms", "finishes", "prices"])
def test_the_pages_take_as_many_statements_for_much_ware_as_for_little(
    pages: Client, django_assert_max_num_queries: Any, name: str
) -> None:
    """Queries don't grow with the catalogue."""
    PriceFactory()
    pages.get(at(name))
    with django_assert_max_num_queries(30) as little:
        pages.get(at(name))
    for _ in range(12):
        PriceFactory()
    with django_assert_max_num_queries(len(little)):
        pages.get(at(name))


def test_what_is_made_is_the_owners(client: Client) -> None:
    """A helper is refused, a stranger asked to log in."""
    ware = WareFactory()
    StudioFactory()
    names = ["index", "new_ware", "forms", "new_form", "finishes", "new_finish", "prices"]
    addresses = [at(name) for name in [*names, "new_tier"]]
    addresses += [at("ware", ware.pk), at("form", ware.form_id), at("make", ware.form_id)]
    addresses += [at("finish", ware.finish_id), at("take_photo_away", ware.pk)]
    for address in addresses:
        assert client.get(address).status_code == 302
    client.force_login(UserFactory(), backend=BACKEND)
    for address in addresses:
        assert client.post(address).status_code == 403
