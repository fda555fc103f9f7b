"""The pages on which the till is counted, the weekend closed, and its statement read."""

import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import MONDAY, SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.closing.models import Amendment, CashCount, Closing
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


def test_the_cash_is_counted_and_then_compared(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """Blind at first; in total or by coin; with a reason where it differs."""
    stall.cash("float", 50_00)
    cash = address("cash", stall)
    assert "159.40" not in potter.get(cash).content.decode()
    potter.post(cash, {"total": "$159.00", "saw": 0, "key": "c"})
    shown = potter.get(cash).content.decode()
    assert "Short" in shown
    assert "159.40" in shown
    assert ", $0.40 short" in potter.get(address("weekend", stall)).content.decode()
    potter.post(address("explain_cash", stall), {"reason": "wrong change", "key": "w"})
    assert CashCount.objects.latest("version").reason == "wrong change"


def test_notes_and_coins_are_added_up(potter: Client, stall: Stall) -> None:
    """Two twenties and three quarters; shown again as they were typed."""
    cash = address("cash", stall)
    potter.post(cash, {"n2000": 2, "n25": 3, "saw": 0, "key": "c"})
    assert CashCount.objects.get().counted == 40_75
    assert re.search(r'name="n2000"[^>]*value="2"', potter.get(cash).content.decode())


@pytest.mark.parametrize(
    "told", [{}, {"total": "lots"}, {"total": "-5"}, {"n2000": "-1"}, {"n2000": "x"}]
)
def test_cash_that_cannot_be_read_is_not_saved(
    potter: Client, stall: Stall, told: dict[str, str]
) -> None:
    """It is said beside its field, and what was typed stays."""
    answer = potter.post(address("cash", stall), {"saw": 0, "key": "c", **told})
    assert answer.status_code == 409
    assert not CashCount.objects.exists()


def test_of_two_cash_counts_the_later_chooses(potter: Client, stall: Stall, helper: User) -> None:
    """The page shows whose count stands and offers both."""
    cash = address("cash", stall)
    stall.counts_cash(10_00)
    answer = potter.post(cash, {"total": "11", "saw": 0, "key": "c"})
    assert "My count is right" in answer.content.decode()
    potter.post(cash, {"total": "11", "saw": 1, "key": "d"})
    assert CashCount.objects.latest("version").counted == 11_00


def closed(potter: Client, stall: Stall, tumbler: Ware) -> str:
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "fell off the plank")
    stall.counts_cash(109_40)
    told = {"key": "close", "confirmed": "1", "leftovers": "stay"}
    return str(potter.post(address("close", stall), told).url)


def test_a_weekend_is_closed_from_its_page(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """What stands open is listed; when nothing does, one button closes it, once."""
    shown = potter.get(address("weekend", stall)).content.decode()
    assert "These stand in the way" in shown
    statement = closed(potter, stall, tumbler)
    assert statement == reverse("closing:statement", args=[1])
    assert closed_again(potter, stall) == statement
    shown = potter.get(statement).content.decode()
    assert "fell off the plank" in shown
    assert "14.2857%" in shown
    assert potter.get(address("weekend", stall)).url == statement
    assert potter.get(address("count", stall)).url == statement


def closed_again(potter: Client, stall: Stall) -> str:
    return str(potter.post(address("close", stall), {"key": "x", "confirmed": "1"}).url)


def test_what_stands_open_is_said_when_closing_is_tried(potter: Client, stall: Stall) -> None:
    """A stale page can't close what is open again."""
    answer = potter.post(address("close", stall), {"key": "x"}, follow=True)
    assert "The cash is not counted yet" in answer.content.decode()
    assert not Closing.objects.exists()


def test_a_statement_is_printed(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """As a PDF, with its number in the file's name."""
    closed(potter, stall, tumbler)
    answer = potter.get(reverse("closing:statement_pdf", args=[1]))
    assert answer.content.startswith(b"%PDF")
    assert "statement-1-2026-11-22" in answer["Content-Disposition"]


def test_a_statement_is_amended_by_a_note(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """It stays as it was, and the note stands under it."""
    statement = closed(potter, stall, tumbler)
    with time_machine.travel(MONDAY, tick=False):
        for _ in range(2):
            potter.post(f"{statement}amend/", {"reason": "it was in the van", "key": "a"})
    assert Amendment.objects.count() == 1
    assert "it was in the van" in potter.get(statement).content.decode()


def test_an_amendment_may_correct_pieces(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """Seven stand there by now; a number without its pieces is refused, and nothing is noted."""
    statement = closed(potter, stall, tumbler)
    told = {"reason": "it was in the van", "key": "a", "stands": 7}
    with time_machine.travel(MONDAY, tick=False):
        assert potter.post(f"{statement}amend/", told).status_code == 409
        potter.post(f"{statement}amend/", {**told, "piece": f"{tumbler.pk}-first"})
    entry = Amendment.objects.get().entry
    assert entry is not None
    assert entry.reason == "Closing 1: it was in the van"
    assert entry.day == MONDAY.date()
    assert f"entry {entry.pk}" in potter.get(statement).content.decode()


def test_helpers_count_and_owners_close(client: Client, helper: User, stall: Stall) -> None:
    """The server refuses the closing to a helper."""
    client.force_login(helper)
    for name in ("weekend", "count", "cash", "differences", "sheet"):
        assert client.get(address(name, stall)).status_code == 200
    assert client.post(address("close", stall), {"confirmed": "1"}).status_code == 403


def test_strangers_are_asked_to_log_in(client: Client, stall: Stall) -> None:
    """Nothing of closing is public."""
    assert client.get(reverse("closing:index")).url.startswith("/login/")


def test_statements_are_listed_and_taken_away(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """The list on the first page, and each statement's pots, as files for a spreadsheet."""
    closed(potter, stall, tumbler)
    listed = potter.get(reverse("closing:index"))
    assert "109.40" in listed.content.decode()
    file = potter.get(reverse("closing:index"), {"_export": "csv"}).content.decode()
    assert "109.40" in file
    pots = potter.get(reverse("closing:statement_file", args=[1, "csv"])).content.decode()
    assert "fell off the plank" in pots
    assert potter.get(reverse("closing:statement_file", args=[1, "xlsx"])).content[:2] == b"PK"
    assert potter.get(reverse("closing:statement_file", args=[1, "exe"])).status_code == 404
