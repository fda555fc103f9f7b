"""The page of what differs: sold by count, once, by the owner; and how often the pages ask."""

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory
from vendor.counter.models import Sale
from vendor.house.models import User, new_key
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


def tumblers(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 and 7.25 % tax."""
    ware: Ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


def address(name: str, stall: Stall, *more: object) -> str:
    return reverse(f"closing:{name}", args=[stall.first.pk, *more])


def missing(ware: Ware, pieces: int) -> str:
    return f"{ware.pk}-first-{pieces}"


def test_missing_pieces_are_sold_by_count(potter: Client, stall: Stall) -> None:
    """The till is over by 36.47, a tumbler with its tax: sold by count, once, both are right."""
    tumbler = tumblers(stall)
    stall.counts(tumbler, 6)
    stall.counts_cash(109_40 + 36_47)
    shown = potter.get(address("differences", stall)).content.decode()
    assert "Perhaps sold and not rung up" in shown
    assert "1 × Form" in shown
    sent = {"method": "cash", "key": "s", "missing": missing(tumbler, 1)}
    for _ in range(2):
        answer = potter.post(address("sell_by_count", stall), sent, follow=True)
        assert "1 sold by count" in answer.content.decode()
    sale = Sale.objects.get(by_count=True)
    assert (sale.total, sale.day, sale.pieces) == (36_47, stall.first.last_day, 1)
    line = stall.line(tumbler)
    assert line is not None
    assert line.variance == 0
    assert "as expected" in potter.get(address("weekend", stall)).content.decode()


def test_several_kinds_are_sold_by_count_at_once(potter: Client, stall: Stall) -> None:
    """Small pieces that nobody rings up: two of one and one of another are one sale."""
    one, two, other = (tumblers(stall) for _ in range(3))
    for ware, counted in ((one, 5), (two, 6), (other, 6)):
        stall.counts(ware, counted)
    shown = potter.get(address("differences", stall)).content.decode()
    assert f'value="{missing(one, 2)}"' in shown
    ticked = [missing(one, 2), missing(two, 1)]
    potter.post(address("sell_by_count", stall), {"method": "cash", "key": "s", "missing": ticked})
    sale = Sale.objects.get(by_count=True)
    # 3 × 34.00 = 102.00, and 7.25 % of it 7.395, half up 7.40.
    assert (sale.pieces, sale.total, sale.note) == (3, 109_40, "By count")
    lines = [stall.line(ware) for ware in (one, two, other)]
    assert [line.variance for line in lines if line] == [0, 0, -1]


@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"missing": "1-first-1", "method": "barter"},
        {"missing": "x-first-1"},
        {"missing": "1-third-1"},
        {"missing": "1-first-0"},
        {"missing": "999999-first-9"},
    ],
)
def test_what_is_not_missing_is_not_sold(
    potter: Client, stall: Stall, sent: dict[str, str]
) -> None:
    """A form that names nothing, or what is there, sells nothing and says so."""
    stall.counts(tumblers(stall), 6)
    told = potter.post(address("sell_by_count", stall), {"method": "cash", **sent}, follow=True)
    assert "Nothing was" in told.content.decode()
    assert not Sale.objects.filter(by_count=True).exists()


def test_a_helper_sells_nothing_by_count(client: Client, helper: User, stall: Stall) -> None:
    """That is the owner's."""
    client.force_login(helper)
    assert client.post(address("sell_by_count", stall), {"method": "cash"}).status_code == 403


def test_each_act_of_counting_asks_as_often_however_much_stands_there(
    potter: Client, stall: Stall
) -> None:
    """A row saved, a sale by count, the rest as none: with ten times the ware too."""
    asked: list[list[int]] = []
    potter.get(address("count", stall))
    for more in (3, 27):
        ware = [tumblers(stall) for _ in range(more)]
        stall.counts(ware[1], 6)
        acts = [
            (address("count_ware", stall, ware[0].pk, "first"), {"counted": 7, "saw": 0}),
            (address("sell_by_count", stall), {"missing": missing(ware[1], 1), "method": "cash"}),
            (address("count_rest", stall), {}),
        ]
        counts = []
        for path, sent in acts:
            with CaptureQueriesContext(connection) as queries:
                potter.post(path, {"key": new_key(), **sent}, headers={"X-Row": "1"})
            counts.append(len(queries))
        asked.append(counts)
    assert asked[0] == asked[1]
