"""The pages on which pots are counted and differences explained."""

import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory, WareFactory
from vendor.closing.models import StallCount
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _sunday_night() -> object:
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        yield


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 and 7.25 % tax."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


def address(name: str, stall: Stall, ware: Ware | None = None) -> str:
    more = [ware.pk, "first"] if ware else []
    return reverse(f"closing:{name}", args=[stall.first.pk, *more])


def row(counted: object, saw: int = 0, key: str = "k") -> dict[str, object]:
    return {"counted": counted, "saw": saw, "key": key}


def test_before_there_is_a_fair_the_page_says_what_to_do(potter: Client, stall: Stall) -> None:
    """Without weekends it leads to the fairs."""
    stall.first.delete()
    stall.second.delete()
    shown = potter.get(reverse("closing:index")).content.decode()
    assert "Nothing to close" in shown


def test_the_weekend_that_has_begun_waits_for_its_closing(potter: Client, stall: Stall) -> None:
    """The first page leads to its count; the second weekend is still to come."""
    shown = potter.get(reverse("closing:index")).content.decode()
    assert "Close Nov 21\u2009–\u200922, 2026" in shown
    assert "28–29" not in shown


def test_the_count_is_blind_until_it_is_counted(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """What was expected is nowhere on the page before, and beside the count after."""
    before = potter.get(address("count", stall)).content.decode()
    assert not re.search(r"\d+ expected|missing", before)
    potter.post(address("count_ware", stall, tumbler), row(6))
    after = potter.get(address("count", stall)).content.decode()
    assert "6 counted by Tansy" in after
    assert "1 missing of 7 expected" in after


def test_the_owner_may_look_at_what_is_expected(
    client: Client, owner: User, helper: User, stall: Stall, tumbler: Ware
) -> None:
    """By asking for it; a helper counts blind."""
    for who, sees in ((owner, True), (helper, False)):
        client.force_login(who)
        shown = client.get(address("count", stall), {"expected": ""}).content.decode()
        assert ("not counted yet: 7 expected" in shown) is sees


def test_a_row_answers_alone_where_the_page_asks_for_it(
    client: Client, helper: User, stall: Stall, tumbler: Ware
) -> None:
    """A helper counts; the script gets the row back."""
    client.force_login(helper)
    answer = client.post(address("count_ware", stall, tumbler), row(7), headers={"X-Row": "1"})
    shown = answer.content.decode()
    assert answer.status_code == 200
    assert shown.startswith(f'<li id="w{tumbler.pk}-first"')
    assert "as expected" in shown


def test_the_other_device_is_shown_who_counted_what(
    potter: Client, stall: Stall, tumbler: Ware, helper: User
) -> None:
    """The row offers both numbers; the one that is chosen holds."""
    stall.counts(tumbler, 7, who=helper)
    answer = potter.post(address("count_ware", stall, tumbler), row(6), headers={"X-Row": "1"})
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert "Robin counted 7 meanwhile, and you counted 6" in shown
    assert "7 is right" in shown
    potter.post(address("count_ware", stall, tumbler), row(6, saw=1, key="choice"))
    assert StallCount.objects.latest("version").counted == 6


@pytest.mark.parametrize("typed", ["", "-1", "4.5", "seven", "100001", "9" * 40])
def test_what_is_no_count_is_said_beside_its_row(
    potter: Client, stall: Stall, tumbler: Ware, typed: str
) -> None:
    """Nothing is saved, and without scripts the page has the row alone."""
    answer = potter.post(address("count_ware", stall, tumbler), row(typed))
    assert answer.status_code == 409
    assert "Not saved yet" in answer.content.decode()
    assert not StallCount.objects.exists()


def test_what_is_not_listed_is_found_and_counted(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """By name or code; in both grades."""
    stray = WareFactory()
    shown = potter.get(address("count", stall), {"q": stray.code}).content.decode()
    assert f'id="w{stray.pk}-second"' in shown
    potter.post(address("count_ware", stall, stray), row(2))
    assert "2 more than the 0 expected" in potter.get(address("count", stall)).content.decode()


def test_only_what_is_left_to_count(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """Counted rows are out of the way."""
    stall.counts(tumbler, 7)
    shown = potter.get(address("count", stall), {"open": ""}).content.decode()
    assert "Everything is counted" in shown


def test_the_rest_is_counted_as_none(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """What was sold out needs no row of its own; sent twice it counts once."""
    gone = WareFactory()
    stall.packs(gone, 2)
    stall.sells(gone, 2)
    stall.counts(tumbler, 7)
    for _ in range(2):
        potter.post(address("count_rest", stall), {"key": "rest"})
    assert StallCount.objects.filter(ware=gone).get().counted == 0
    assert StallCount.objects.count() == 2


def test_the_sheet_for_paper_does_not_say_what_is_expected(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """Names and codes, and room for a number."""
    shown = potter.get(address("sheet", stall)).content.decode()
    assert tumbler.code in shown
    assert "<td>7</td>" not in shown
    assert potter.get(address("sheet_pdf", stall)).content.startswith(b"%PDF")


def test_differences_are_explained_one_by_one(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """With the equation in words; a reason of blanks is refused."""
    stall.counts(tumbler, 6)
    shown = strip_tags(potter.get(address("differences", stall)).content.decode())
    assert "+ 10 packed in − 3 sold = 7 expected" in shown
    explain = address("explain", stall, tumbler)
    refused = potter.post(explain, {"reason": "  ", "key": "a"}, follow=True)
    assert "say why" in refused.content.decode()
    potter.post(explain, {"reason": "fell off the plank", "key": "b"})
    line = stall.line(tumbler)
    assert line is not None
    assert line.reason == "fell off the plank"


def test_a_swap_is_hinted_at(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """One of a form missing, one of the same form too many."""
    other = WareFactory(form=tumbler.form)
    stall.packs(other, 5)
    stall.counts(tumbler, 6)
    stall.counts(other, 6)
    shown = potter.get(address("differences", stall)).content.decode()
    swap = f"{tumbler.pk}-first-for-{other.pk}-first"
    assert f'value="{swap}"' in shown
    for _ in range(2):
        potter.post(address("explain_swap", stall), {"swap": swap, "key": "s"})
    lines = [stall.line(each) for each in (tumbler, other)]
    assert [line.reason for line in lines if line] == [
        f"1 sold, but rung up as {other.name}", f"1 rung up that was {tumbler.name}",
    ]  # fmt: skip


def test_a_swap_is_a_hint_only(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """Nothing is explained by itself, and a pair that is none is passed over."""
    stall.counts(tumbler, 6)
    potter.post(address("explain_swap", stall), {"swap": "1-first-for-2-first"})
    line = stall.line(tumbler)
    assert line is not None
    assert line.is_open
    shown = potter.get(address("differences", stall)).content.decode()
    assert "Perhaps rung up as one another" not in shown
