"""The page at the stall and what it fetches and sends: who may, in how many statements."""

import datetime
import json
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, SATURDAY, SUNDAY, Stall
from tests.factories import PriceFactory, WareFactory, stocked
from tests.factories import stall as stall_of
from vendor.counter.intake import take_in
from vendor.counter.models import Sale
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.labels.models import ArticleNumber
from vendor.ledger import actions as ledger


@pytest.fixture
def client(stall: Stall) -> Iterator[Client]:
    """The helper's device, on Saturday morning."""
    with time_machine.travel(NOW, tick=False):
        client = Client()
        client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
        yield client


def batch(*documents: object, kind: str = "sales", **changes: object) -> dict[str, object]:
    """Return an envelope of documents."""
    return {
        "format": "wareboard.batch",
        "version": 1,
        "sent_at": NOW.isoformat(),
        kind: list(documents),
    } | changes


def post(client: Client, body: object, page: str = "counter:take_sales") -> Any:
    return client.post(reverse(page), json.dumps(body), content_type="application/json")


def test_strangers_are_asked_to_log_in(stall: Stall) -> None:
    """Nothing of the counter is open to the street."""
    for page in ("counter:sell", "counter:stall"):
        assert Client().get(reverse(page)).status_code == 302
    assert post(Client(), batch()).status_code == 302


def test_the_page_opens_on_the_current_weekend(stall: Stall, client: Client) -> None:
    """The page is a frame; what it sells comes as a sheet."""
    page = client.get(reverse("counter:sell"))
    assert page.status_code == 200
    assert "csrftoken" in page.cookies
    sheet = client.get(reverse("counter:stall")).json()
    assert (sheet["fair"], sheet["weekend"]) == (stall.fair.pk, stall.weekend.pk)
    assert (sheet["day"], sheet["day_name"], sheet["is_selling_day"]) == (
        SATURDAY.isoformat(),
        "Saturday",
        True,
    )
    firsts = {tile["ware"]: tile for tile in sheet["tiles"] if tile["grade"] == "first"}
    assert firsts["TUM-CEL"]["price"] == 3400
    assert firsts["TUM-CEL"]["pot"].startswith("<svg")
    assert (firsts["TUM-CEL"]["left"], firsts["BOWL-SHI"]["left"]) == (10, 4)


def test_the_sheet_knows_the_article_numbers_that_tags_carry(stall: Stall, client: Client) -> None:
    """One for the tumbler and one for a second of it; the bowl has none."""
    for grade, number in (("first", "5012345678900"), ("second", "0416000336108")):
        ArticleNumber.objects.create(ware=stall.tumbler, grade=grade, number=number)
    tiles = client.get(reverse("counter:stall")).json()["tiles"]
    assert {(tile["ware"], tile["grade"]): tile["number"] for tile in tiles if tile["number"]} == {
        ("TUM-CEL", "first"): "5012345678900",
        ("TUM-CEL", "second"): "0416000336108",
    }


def test_a_hold_is_told_by_its_label_alone(stall: Stall, client: Client) -> None:
    """A helper sees that a bowl is held, and nobody's name."""
    hold = stall.hold(stall.bowl)
    sheet = client.get(reverse("counter:stall")).json()
    [bowl] = [tile for tile in sheet["tiles"] if tile["ware"] == "BOWL-SHI" and tile["held"]]
    assert (bowl["left"], bowl["held"]) == (3, 1)
    assert bowl["holds"] == [{"id": hold.pk, "label": "Promise 12", "quantity": 1}]


def test_a_helper_is_led_to_the_held_pieces(stall: Stall, client: Client) -> None:
    """Who comes for a promised piece gets it at the stall."""
    held = reverse("supporters:held")
    assert f'href="{held}"' in client.get(reverse("counter:sell")).content.decode()
    assert client.get(held).status_code == 200


def test_without_an_open_weekend_the_page_says_what_to_do(stall: Stall, client: Client) -> None:
    """All weekends closed: nothing to sell on."""
    ledger.close_through(place=stall.place, day=stall.next_weekend.last_day)
    assert b"no weekend to sell on" in client.get(reverse("counter:sell")).content
    assert client.get(reverse("counter:stall")).status_code == 404


def test_after_the_closing_the_next_weekend_is_sold_on(stall: Stall, client: Client) -> None:
    """Closed is closed, and the coming one is open."""
    ledger.close_through(place=stall.place, day=SUNDAY)
    assert client.get(reverse("counter:stall")).json()["weekend"] == stall.next_weekend.pk


def test_a_fair_can_be_chosen(stall: Stall, client: Client) -> None:
    """An unknown one is not found."""
    address = reverse("counter:stall")
    assert client.get(address, {"fair": stall.fair.pk}).status_code == 200
    assert client.get(address, {"fair": 999}).status_code == 404


def test_a_batch_is_answered_one_by_one(stall: Stall, client: Client) -> None:
    """And the day's list has what was taken."""
    document = stall.document((stall.tumbler, 2))
    answers = post(client, batch(document, {})).json()["answers"]
    assert [answer["outcome"] for answer in answers] == ["taken", "malformed"]
    [row] = client.get(reverse("counter:stall")).json()["sales"]
    assert (row["number"], row["what"], row["received"]) == (1, "2 × Tumbler, celadon", 7293)
    assert (row["methods"], row["seller"], row["undone"]) == (["Cash"], str(stall.helper), "")


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"\xff",
        b"[" * 100_000,
        b'{"format": "wareboard.batch", "version": 1, "sales": [1], "sent_at": "noon"}',
    ],
)
def test_what_is_no_batch_is_refused_whole(stall: Stall, client: Client, body: bytes) -> None:
    """The device still has it all."""
    answer = client.post(reverse("counter:take_sales"), body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["error"]


@pytest.mark.parametrize("count", [0, 501])
def test_a_batch_has_1_to_500_documents(stall: Stall, client: Client, count: int) -> None:
    """More come in the next one."""
    assert post(client, batch(*[{}] * count)).status_code == 400


def test_an_undoing_is_sent_like_a_sale(stall: Stall, client: Client) -> None:
    """Once; with an unknown sale it is refused with a sentence."""
    document = stall.document()
    post(client, batch(document))
    undo = {"format": "wareboard.undo", "version": 1, "key": "a" * 32, "sale": document["key"]}
    undo["reason"] = "Rung up wrong"
    unknown = undo | {"key": "b" * 32, "sale": "c" * 32}
    sent = batch(undo, undo, unknown, 7, kind="undoings")
    answers = post(client, sent, "counter:take_undoings").json()["answers"]
    assert [each["outcome"] for each in answers] == ["taken", "had", "refused", "malformed"]
    assert Sale.objects.get().undoing.reason == "Rung up wrong"
    assert stall.left(stall.tumbler) == 10
    [row] = client.get(reverse("counter:stall")).json()["sales"]
    assert row["undone"] == "Rung up wrong"


def test_an_undoing_from_when_it_was_called_otherwise_is_taken_too(
    stall: Stall, client: Client
) -> None:
    """By its old name at the old address, and once more at the new one: nothing unsent is lost."""
    document = stall.document()
    post(client, batch(document))
    undo = {"format": "wareboard.void", "version": 1, "key": "a" * 32, "sale": document["key"]}
    undo["reason"] = "Rung up wrong"
    sent = batch(undo, kind="voids")
    [first] = client.post("/sell/api/voids", sent, content_type="application/json").json()[
        "answers"
    ]
    [again] = post(client, batch(undo, kind="undoings"), "counter:take_undoings").json()["answers"]
    assert (first["outcome"], again["outcome"]) == ("taken", "had")


def test_the_sheet_takes_the_same_statements_however_much_there_is(
    stall: Stall, client: Client, django_assert_max_num_queries: Any
) -> None:
    """Fifteen for the stall, prices, holds, turns and the day's sales, besides the login's."""
    address = reverse("counter:stall")
    with django_assert_max_num_queries(28) as small:
        client.get(address)
    for _ in range(5):
        ware = WareFactory()
        PriceFactory(tier=stall.tier, ware=ware, set_by=stall.owner)
        stocked(ware, 3, at=stall.place, who=stall.owner)
        stall.hold(ware)
    take_in(raws=[stall.document() for _ in range(5)], who=stall.owner, now=NOW)
    with django_assert_max_num_queries(28) as large:
        client.get(address)
    # Lines and payments of the sales that there now are.
    assert len(large) <= len(small) + 2


def test_sales_written_on_paper_can_be_entered_for_a_day_that_is_over(
    stall: Stall, client: Client
) -> None:
    """On Sunday Saturday is offered, as of its closing hour; on Saturday nothing is."""
    address = reverse("counter:stall")
    assert client.get(address).json()["late"] == []
    with time_machine.travel(NOW + datetime.timedelta(days=1), tick=False):
        [late] = client.get(address).json()["late"]
    assert late == {
        "day": "2026-12-05",
        "name": "Sat, Dec 5, 2026",
        "at": "2026-12-05T17:00:00-05:00",
    }


def test_a_page_that_has_its_pots_is_sent_none(stall: Stall, client: Client) -> None:
    """They are most of the sheet, and never change."""
    whole = client.get(reverse("counter:stall"))
    light = client.get(reverse("counter:stall"), {"pots": "0"})
    assert len(light.content) < len(whole.content) / 2
    assert {tile["pot"] for tile in light.json()["tiles"]} == {""}


def test_of_two_fairs_the_one_that_is_on_comes_first(stall: Stall, client: Client) -> None:
    """The other can be chosen."""
    other = Fair.objects.create(
        name="Sandbar Lane Market", stall=stall_of("Stall at Sandbar Lane"), tier=stall.tier
    )
    saturday = SATURDAY + datetime.timedelta(days=7)
    weekend = Weekend.objects.create(fair=other, number=1, first_day=saturday, last_day=saturday)
    SellingDay.objects.create(weekend=weekend, day=saturday)
    address = reverse("counter:stall")
    assert client.get(address).json()["fair"] == stall.fair.pk
    assert client.get(address, {"fair": other.pk}).json()["fair_name"] == other.name
    assert b"Sandbar Lane Market" in client.get(reverse("counter:sell")).content
