"""A double tap, or a page sent again by a browser that came back: one thing is made."""

from collections.abc import Callable
from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.db.models import Model
from django.test import Client
from django.urls import reverse

from tests.factories import (
    FinishFactory,
    FormFactory,
    OwnerFactory,
    StudioFactory,
    TierFactory,
    WareFactory,
)
from vendor.counter.bundles import Bundle
from vendor.fairs.models import Fair, Weekend
from vendor.firings.models import Kiln
from vendor.house.models import Change, User
from vendor.labels.models import LabelPrinter, LabelSheet
from vendor.supporters.models import Level, LevelTerms, Question, Reward, RewardTerms, Supporter
from vendor.ware.models import Finish, Form, Price, PriceTier, Ware

pytestmark = pytest.mark.django_db
Said = dict[str, Any]


def _ware() -> Said:
    ware = WareFactory()
    return {"form": ware.form_id, "finish": ware.finish_id, "one_of_a_kind": "on"}


def _many() -> Said:
    return {"finishes": [FinishFactory().pk, FinishFactory().pk]}


PAGES: dict[str, tuple[type[Model], int, Callable[[], list[Any]], Callable[[], Said]]] = {
    "ware:new_form": (Form, 1, list, lambda: {"name": "Jar", "height": "4", "width": "4"}),
    "ware:new_finish": (Finish, 1, list, lambda: {"name": "ash"}),
    "ware:new_ware": (Ware, 1, list, _ware),
    "ware:make": (Ware, 2, lambda: [FormFactory().pk], _many),
    "ware:new_tier": (PriceTier, 1, list, lambda: {"name": "Trade", "share": "50"}),
    "ware:tier_prices": (
        Price,
        1,
        lambda: [TierFactory().pk],
        lambda: {f"form-{FormFactory().pk}": "34"},
    ),
    "studio:people": (
        User,
        1,
        list,
        lambda: {
            "first_name": "Robin",
            "username": "robin",
            "role": "helper",
            "password": "a wet shelf of pots",
        },
    ),
    "fairs:new_fair": (
        Fair,
        1,
        list,
        lambda: {"name": "Oxmere Mill Winter Fair", "tier": TierFactory().pk, "tax_rate": "7.25"},
    ),
    "firings:new_kiln": (Kiln, 1, list, lambda: {"name": "Front loader"}),
    "labels:new_printer": (LabelPrinter, 1, list, lambda: {"name": "By the door"}),
    "labels:new_sheet": (
        LabelSheet,
        1,
        list,
        lambda: {
            "paper": "A4", "columns": 2, "rows": 2, "label_width": 2, "label_height": 2,
            "left": 1, "top": 1, "step_across": 3, "step_down": 3, "corner_radius": 0,
        },
    ),
    "supporters:new_level": (Level, 1, list, lambda: {"name": "Ember"}),
    "supporters:new_reward": (Reward, 1, list, lambda: {"name": "A cup", "due_weeks": 12}),
    "supporters:new_question": (
        Question,
        1,
        lambda: [Reward.objects.create(name="A jug").pk],
        lambda: {"kind": "finish", "name": "Glaze"},
    ),
    "supporters:level_terms": (
        LevelTerms,
        1,
        lambda: [Level.objects.create(name="Flame").pk],
        lambda: {"from_month": "2026-12", "amount": "5", "credits": "1"},
    ),
    "supporters:reward_terms": (
        RewardTerms,
        1,
        lambda: [Reward.objects.create(name="A dish").pk],
        lambda: {"from_month": "2026-12", "cost": "3"},
    ),
    "supporters:new_supporter": (Supporter, 1, list, lambda: {"name": "An invented name"}),
    "counter:bundles": (
        Bundle,
        1,
        list,
        lambda: {"form": FormFactory().pk, "quantity": 3, "price": "90"},
    ),
}  # fmt: skip


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    StudioFactory()
    client.force_login(OwnerFactory(), "django.contrib.auth.backends.ModelBackend")
    return client


@pytest.mark.parametrize("name", PAGES)
def test_a_double_tap_makes_one(pages: Client, name: str) -> None:
    """The second answer is the first one's: it leads to what was made."""
    model, more, args, said = PAGES[name]
    address = reverse(name, args=args())
    typed = said()
    before = model._default_manager.count()
    sent = {**_filled(pages, address), **typed}
    answers = [pages.post(address, sent) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302], _said(answers)
    assert answers[0].headers["Location"] == answers[1].headers["Location"]
    assert model._default_manager.count() == before + more


def test_weekends_planned_twice_are_planned_once(pages: Client) -> None:
    """The same days stay as they are."""
    said = {"name": "Fair", "tier": TierFactory().pk, "tax_rate": "0"}
    pages.post(reverse("fairs:new_fair"), {**_filled(pages, reverse("fairs:new_fair")), **said})
    address = reverse("fairs:fair", args=[Fair.objects.get().pk])
    sent = {**_filled(pages, address), "first_day": "2026-11-21", "count": 2}
    for _ in range(2):
        assert pages.post(address, sent).status_code == 302
    assert Weekend.objects.count() == 2
    assert Change.objects.filter(thing="fairs.weekend").count() == 2


@pytest.mark.parametrize("name", ["ware:new_form", "ware:new_finish", "firings:new_kiln"])
def test_a_page_gone_back_to_and_changed_is_told(pages: Client, name: str) -> None:
    """What was typed is still on the page, and nothing was made of it."""
    model, _, _, said = PAGES[name]
    address = reverse(name)
    sent = {**_filled(pages, address), **said()}
    pages.post(address, sent)
    answer = pages.post(address, {**sent, "name": "Another"})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "This page was sent before and made" in page
    assert 'value="Another"' in page
    assert model._default_manager.count() == 1


def _filled(pages: Client, address: str) -> Said:
    """Return what the page's last form says before anything is typed, its key with it."""
    soup = BeautifulSoup(pages.get(address).content, "html.parser")
    form = [each for each in soup.select("main form") if each.get("method") == "post"][-1]
    said: Said = {}
    for field in form.select("input[name], textarea[name], select[name]"):
        name, kind = str(field["name"]), field.get("type")
        if field.name == "select":
            chosen = field.select_one("option[selected]") or field.select_one("option")
            said[name] = str(chosen.get("value", "")) if chosen else ""
        elif kind in ("checkbox", "radio"):
            if field.has_attr("checked"):
                said[name] = str(field.get("value", "on"))
        elif kind != "file":
            said[name] = str(field.get("value", "") or field.text)
    return said


def _said(answers: list[Any]) -> str:
    """Return what the last answer complains of."""
    soup = BeautifulSoup(answers[-1].content, "html.parser")
    return " ".join(each.get_text(" ", strip=True) for each in soup.select(".errorlist, .note"))
