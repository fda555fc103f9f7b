"""What the page for counting one by one fetches and sends, and how it looks on other pages."""

import json
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from tests.closing.going import ends, of, scans
from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.counter.test_types import checked
from tests.factories import PriceFactory
from vendor.closing.models import CountPass, StallCount
from vendor.house.models import User, new_key
from vendor.labels.models import ArticleNumber
from vendor.settings import BASE_DIR
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _sunday_night() -> object:
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        yield


@pytest.fixture
def pages(helper: User, client: Client) -> Client:
    """A browser in which a helper is logged in."""
    client.force_login(helper)
    return client


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


def address(name: str, stall: Stall, *more: object) -> str:
    return reverse(f"closing:{name}", args=[stall.first.pk, *more])


def batch(ware: Ware, **changes: Any) -> dict[str, Any]:
    scan = {
        "key": new_key(), "ware": ware.pk, "grade": "first", "hold": None, "undoes": "",
        "beside": "",
    }  # fmt: skip
    going = {"key": new_key(), "kind": "first", "where": ""}
    return {
        "format": "wareboard.scans", "version": 1, "pass": going, "scans": [scan],
    } | changes  # fmt: skip


def send(pages: Client, stall: Stall, body: object) -> Any:
    text = body if isinstance(body, str) else json.dumps(body)
    return pages.post(address("take_scans", stall), text, content_type="application/json")


def test_a_batch_is_answered_with_what_the_pass_has_by_now(
    pages: Client, stall: Stall, tumbler: Ware
) -> None:
    """Nothing that was expected is in the answer."""
    answer = send(pages, stall, batch(tumbler)).json()
    assert (answer["pass"], answer["mine"]) == (1, {f"{tumbler.pk} first": 1})
    assert [each["outcome"] for each in answer["answers"]] == ["counted"]


def test_a_batch_that_is_none_is_refused_whole(pages: Client, stall: Stall, tumbler: Ware) -> None:
    """Whatever is wrong with it, it is a 400 with the place, and nothing is counted."""
    proper = batch(tumbler)
    wrong: list[object] = [
        "no JSON", [], {**proper, "version": 2}, {**proper, "scans": []},
        {**proper, "pass": {**proper["pass"], "kind": "second"}},
        *[
            {**proper, "scans": [{**proper["scans"][0], **change}]}
            for change in ({"ware": 0}, {"grade": "third"}, {"key": "k"}, {"hold": "12"},
                           {"beside": "so"}, {"more": 1})
        ],
    ]  # fmt: skip
    for body in wrong:
        assert send(pages, stall, body).status_code == 400
    assert not StallCount.objects.exists()


def test_a_closed_weekend_answers_with_a_sentence(
    pages: Client, stall: Stall, tumbler: Ware
) -> None:
    """The device keeps what it has, and shows why."""
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    stall.closes()
    assert "is closed" in send(pages, stall, batch(tumbler)).json()["refused"]
    assert pages.get(address("one_by_one", stall)).status_code == 302


def test_the_page_shows_what_stood_there_and_never_how_many(
    pages: Client, stall: Stall, tumbler: Ware
) -> None:
    """The ware to tap; a pass that goes on is offered to its own person."""
    send(pages, stall, batch(tumbler))
    shown = pages.get(address("one_by_one", stall)).content.decode()
    assert f'data-spot="{tumbler.pk} first"' in shown
    assert f'"mine": {{"{tumbler.pk} first": 1}}' in shown
    assert "expected:" not in shown
    plank = shown.split('aria-label="Ware of the stall">')[1].split("</ul>")[0]
    assert strip_tags(plank).split() == tumbler.name.split()


def test_the_tags_are_told_with_their_article_numbers(
    pages: Client, stall: Stall, tumbler: Ware
) -> None:
    """Both grades of every ware."""
    ArticleNumber.objects.create(ware=tumbler, grade="second", number="0416000336108")
    told = pages.get(address("tags", stall)).json()["tags"]
    assert [(each["ware"], each["grade"], each["number"]) for each in told] == [
        (tumbler.code, "first", ""), (tumbler.code, "second", "0416000336108"),
    ]  # fmt: skip


def test_a_pass_that_goes_on_is_ended_from_the_count_page(
    pages: Client, stall: Stall, tumbler: Ware, owner: User
) -> None:
    """Before, its figures are told without a comparison; a helper doesn't end the owner's."""
    scans(stall, *[of(tumbler) for _ in range(6)])
    shown = pages.get(address("count", stall)).content.decode()
    assert "one by one, so far: 6 by Tansy" in shown
    assert "missing of" not in shown
    assert "It is ended" not in shown
    end = address("end_pass", stall, 1)
    pages.post(end)
    assert CountPass.objects.get().ended_at is None
    pages.force_login(owner)
    assert "1 missing of 7 expected" in pages.post(end, follow=True).content.decode()


def test_the_entries_say_how_it_was_counted(pages: Client, stall: Stall, tumbler: Ware) -> None:
    """Each act with who, when and in which pass, those taken back among them."""
    one, two = of(tumbler), of(tumbler)
    ends(stall, scans(stall, one, two, of(tumbler, undoes=two.key)))
    stall.explains(tumbler, "fell off the plank")
    shown = pages.get(address("entries", stall, tumbler.pk, "first")).content.decode()
    for words in ("1 more", "One taken back", "taken back afterwards", "pass 1", "fell off"):
        assert words in shown


@pytest.mark.typescript
def test_the_page_keeps_to_its_stated_types() -> None:
    """Strictly, with all that it takes from the page at the stall."""
    assert checked(str(BASE_DIR / "vendor/static/closing/one_by_one.js")) == ""
