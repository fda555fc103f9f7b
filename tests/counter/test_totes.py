"""Totes at the stall: what a device says of them, and the nudge that comes of it, also offline."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browsing import assert_accessible
from tests.counter.stalls import NOW, Stall
from tests.counter.steps import opened, pay_exactly, scan, sent, tile
from tests.factories import shelf, stocked
from vendor.counter import actions, intake
from vendor.counter.queries import sold_before
from vendor.counter.totes import take_in
from vendor.fairs import actions as fairs
from vendor.fairs.models import PackingList, Unpacked
from vendor.house import clock
from vendor.ware.models import Ware


def van(stall: Stall, *totes: tuple[Ware, int, str]) -> PackingList:
    """Load a van for the stall's weekend with so many pieces in each tote."""
    for ware, quantity, _ in totes:
        stocked(ware, quantity, at=shelf(), who=stall.owner)
    now = clock.now()
    made = fairs.start_list(key="list", weekend=stall.weekend, who=stall.owner, now=now)
    lines = [fairs.Packed(ware.pk, quantity, tote=tote) for ware, quantity, tote in totes]
    fairs.pack(packing_list=made, lines=lines, who=stall.owner, now=now)
    return fairs.load_van(key="load", packing_list=made, who=stall.owner, now=now)


def word(made: PackingList, tote: str = "3", **changes: Any) -> dict[str, Any]:
    given = {"format": "wareboard.tote", "version": 1, "key": "a" * 32, "tote": tote}
    said = {"packing_list": made.pk, "is_out": True, "said_at": NOW.isoformat()}
    return given | said | changes


def test_a_word_about_a_tote_is_taken_once(stall: Stall) -> None:
    """Sent again it is the same; of a tote that is not there it is refused with a sentence."""
    made = van(stall, (stall.tumbler, 6, "3"))
    no_such = word(made, "7", key="b" * 32)
    raws = [word(made), word(made), no_such, word(made, is_out=1), word(made, key="x"), 7]
    answers = take_in(raws=raws, who=stall.helper, now=NOW)
    assert [answer.outcome for answer in answers] == [
        "taken",
        "had",
        "refused",
        "malformed",
        "malformed",
        "malformed",
    ]
    assert "no tote" not in answers[0].reason
    assert "has a tote 7" in answers[2].reason
    said = Unpacked.objects.get()
    assert (said.made_by, said.is_out, said.tote) == (stall.helper, True, "3")


def test_the_sheet_has_the_totes_and_what_sold_before(stall: Stall, client: Client) -> None:
    """In the words of the page, at its address."""
    made = van(stall, (stall.tumbler, 6, "3"))
    client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
    envelope = {"format": "wareboard.batch", "version": 1, "sent_at": NOW.isoformat()}
    address = reverse("counter:take_totes")
    answer = client.post(address, envelope | {"totes": [word(made)]}, "application/json")
    assert answer.json()["answers"][0]["outcome"] == "taken"
    sheet = client.get(reverse("counter:stall")).json()
    pieces = [{"ware": stall.tumbler.code, "grade": "first", "quantity": 6}]
    assert sheet["totes"] == [
        {"packing_list": made.pk, "mark": "3", "is_out": True, "pieces": pieces}
    ]
    assert sheet["sold_before"] == {}


def test_what_sold_before_counts_firsts_of_the_weekends_earlier_days(stall: Stall) -> None:
    """Not the day's own, not seconds, not what was undone."""
    documents = [
        stall.document((stall.tumbler, 2)),
        stall.document((stall.bowl, 1)),
        stall.document((stall.tumbler, 1), grade="second"),
    ]
    intake.take_in(raws=documents, who=stall.helper, now=NOW)
    undone = stall.weekend.sales.get(key=documents[1]["key"])
    actions.undo_sale(key="u", sale=undone, reason="Rung up wrong", who=stall.owner, now=NOW)
    saturday, sunday = stall.weekend.first_day, stall.weekend.last_day
    assert sold_before(stall.weekend, day=saturday) == {}
    assert sold_before(stall.weekend, day=sunday) == {stall.tumbler.code: 2}


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_good_seller_that_runs_low_is_named_with_its_tote_also_without_a_signal(
    today: Stall, counter: Page, faults: Any
) -> None:
    """Ten on the table and six in tote 3; bowls in tote 1, unpacked by a tap while offline."""
    faults.allow("ERR_INTERNET_DISCONNECTED|ERR_FAILED|Failed to load resource|request failed")
    made = van(today, (today.tumbler, 6, "3"), (today.bowl, 2, "1"))
    expect(counter.locator("#sell[data-offline]")).to_be_attached()
    opened(counter)
    expect(tile(counter, "Tumbler")).to_contain_text("16 left")
    for _ in range(7):
        scan(counter, "TUM-CEL")
    pay_exactly(counter)
    sent(counter)
    counter.context.set_offline(True)
    expect(counter.locator("#nudges")).to_be_hidden()
    counter.get_by_text("Totes: tap each one that is unpacked").tap()
    counter.get_by_role("button", name="Tote 1 is unpacked").tap()
    expect(counter.locator("#totes-told")).to_have_text("Totes: 1 of 2 unpacked")
    # Three are left on the table, fewer than were sold in the last hour.
    nudge = counter.locator("#nudges li")
    expect(nudge).to_contain_text("Tumbler, celadon: 3 left on the table, 6 more in tote 3")
    scan(counter, "TUM-CEL")
    pay_exactly(counter)
    expect(nudge).to_contain_text("Tumbler, celadon: 2 left on the table, 6 more in tote 3")
    expect(counter.locator("#said")).to_contain_text("6 more in tote 3")
    expect(tile(counter, "Tumbler")).to_contain_text("2 on the table, 6 in totes")
    assert_accessible(counter)
    opened(counter)
    nudge.get_by_role("button", name="Tote 3 is unpacked").tap()
    expect(counter.locator("#nudges")).to_be_hidden()
    expect(tile(counter, "Tumbler")).to_contain_text("8 left")
    expect(counter.locator("#state")).to_contain_text("3 entries kept on this device")
    counter.context.set_offline(False)
    counter.reload()
    sent(counter)
    said = Unpacked.objects.filter(packing_list=made).order_by("tote")
    assert [(each.tote, each.is_out) for each in said] == [("1", True), ("3", True)]
