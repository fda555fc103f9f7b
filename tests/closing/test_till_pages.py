"""The pages on which tills are counted night by night, and cash is taken out and explained."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import NEXT_SATURDAY, NEXT_SUNDAY, SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.closing import actions
from vendor.closing.models import CarriedCash, CashCount, Closing
from vendor.closing.takings import till_sheet
from vendor.counter.models import TillMovement
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
SATURDAY = SATURDAY_NOON.date().isoformat()


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
    """Ten packed, three sold on Saturday for 109.40; the float is 50.00."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.cash("float", 50_00)
    stall.sells(ware, 3, amount=109_40)
    return ware


def address(name: str, stall: Stall, asked: str = "") -> str:
    return reverse(f"closing:{name}", args=[stall.first.pk]) + asked


def seen(client: Client, path: str) -> str:
    return client.get(path).content.decode()


def test_with_one_till_and_no_nights_the_page_asks_for_nothing_more(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """No box to choose; the nights are folded away."""
    page = seen(potter, address("cash", stall))
    assert 'aria-label="Cash boxes"' not in page
    assert "Cash box" not in page
    assert "Count each night for itself" in page
    potter.post(address("cash", stall), {"total": "159.40", "saw": 0, "key": "k"})
    assert ">The till<" in seen(potter, address("cash", stall))
    assert "$159.40 counted by Tansy, as expected" in seen(potter, address("weekend", stall))


def test_a_night_is_counted_explained_and_taken_home(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """159.40 expected, 160.00 counted, 110.00 taken home: 50.00 begins Sunday."""
    night = f"?day={SATURDAY}"
    assert "Saturday night" in seen(potter, address("cash", stall, night))
    answer = potter.post(address("cash", stall, night), {"total": "160", "saw": 0, "key": "k"})
    assert answer.url == address("cash", stall, night)
    page = seen(potter, address("cash", stall, night))
    assert "Why it is over" in page
    assert 'value="110.00"' in page
    potter.post(address("explain_cash", stall, night), {"reason": "kept change", "key": "w"})
    for told in ({"amount": "", "reason": "home"}, {"amount": "110.00", "reason": "home"}):
        potter.post(address("take_out", stall, night), {**told, "key": "o"})
    assert TillMovement.objects.get(after_count=True).amount == 110_00
    page = seen(potter, address("cash", stall, night))
    assert "$110.00 was taken out" in page
    assert "$50.00 stays in it" in page
    end = till_sheet(stall.first).boxes[0].end
    assert end.till.expected == 50_00
    steps = seen(potter, address("weekend", stall))
    assert f'{address("cash", stall, night)}">Saturday</a>: $160.00 counted' in steps
    assert 'cash/">End of the weekend</a>: Not counted yet.' in steps


def test_each_till_has_a_page_of_its_own(potter: Client, stall: Stall, tumbler: Ware) -> None:
    """Chosen by its name; both stand in the steps, and their sum."""
    stall.opens_till()
    stall.cash("float", 20_00, till=2)
    second = "?till=2"
    page = seen(potter, address("cash", stall))
    assert f'href="{address("cash", stall, second)}"' in page
    potter.post(address("cash", stall), {"total": "159.40", "saw": 0, "key": "k"})
    potter.post(address("cash", stall, second), {"total": "19", "saw": 0, "key": "l"})
    assert "Left in it" not in seen(potter, address("cash", stall, second))
    assert "Together $1.00 short" in seen(potter, address("weekend", stall))
    assert list(CashCount.objects.values_list("till", "counted")) == [(1, 159_40), (2, 19_00)]
    for wrong in ("?till=3", "?till=x", "?day=2026-11-22", "?day=x"):
        assert potter.get(address("cash", stall, wrong)).status_code == 404


def test_a_statement_shows_every_count_and_what_was_taken_out(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """On its page and as a PDF."""
    stall.counts_cash(159_40, day=SATURDAY_NOON.date())
    stall.takes_out(109_40, day=SATURDAY_NOON.date())
    stall.counts_cash(50_00)
    stall.takes_out(10_00)
    stall.counts(tumbler, 7)
    stall.closes()
    page = seen(potter, reverse("closing:statement", args=[1]))
    assert "Cash box, Saturday night" in page
    assert "$10.00 was taken out: $40.00 stayed" in page
    assert potter.get(reverse("closing:statement_pdf", args=[1])).content.startswith(b"%PDF")


def test_what_a_weekend_began_with_is_explained_on_the_page(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """159.40 left, a float of 100.00: the page asks where 59.40 went."""
    stall.counts_cash(159_40)
    stall.counts(tumbler, 7)
    stall.closes()
    stall.cash("float", 100_00, weekend=stall.second, made_at=NEXT_SATURDAY, reason="")
    with time_machine.travel(NEXT_SUNDAY, tick=False):
        page = reverse("closing:cash", args=[stall.second.pk])
        assert "$59.40 went out" in seen(potter, page)
        steps = reverse("closing:weekend", args=[stall.second.pk])
        before = reverse("closing:explain_carried", args=[stall.second.pk])
        for reason in ("", "to the bank"):
            potter.post(before, {"reason": reason, "key": "b"})
        assert CarriedCash.objects.get().difference == -59_40
        assert "in between: to the bank" in seen(potter, page)
        assert "nobody said" not in seen(potter, steps)
        stall.counts_cash(100_00, weekend=stall.second)
        stall.counts(tumbler, 7, weekend=stall.second)
        actions.close_weekend(
            key="c", weekend=stall.second, who=stall.owner, now=NEXT_SUNDAY, confirmed=True
        )
    number = Closing.objects.latest("number").number
    assert "In between: to the bank" in seen(potter, reverse("closing:statement", args=[number]))
