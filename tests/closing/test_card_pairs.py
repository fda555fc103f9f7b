"""What the matching leaves over is matched by hand, and taken apart again."""

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.card_pages import CardPage, card_page
from vendor.closing.card_rows import Columns
from vendor.closing.matching import How
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.studio import the_studio

pytestmark = pytest.mark.django_db
ROWS = b"Gross,Date,Fee\n40.00,2026-11-24,1.10\n7.00,2026-11-22,0.20\n"


@pytest.fixture
def sold(stall: Stall) -> Stall:
    """One sale of 39.00 by card; the statement has 40.00, and 7.00 of nobody's. Fees 1.30."""
    ware = WareFactory()
    stall.packs(ware, 5)
    stall.sells(ware, amount=39_00, method="card")
    statement = actions.take_statement(
        key="s", weekend=stall.first, name="cards.csv", content=ROWS, who=stall.owner,
        now=SUNDAY_NIGHT,
    )  # fmt: skip
    actions.map_statement(
        statement=statement, columns=Columns("Gross", "Date", fee="Fee"), who=stall.owner,
        now=SUNDAY_NIGHT,
    )  # fmt: skip
    return stall


def shown(stall: Stall) -> CardPage:
    return card_page(stall.first, the_studio())


def pairs(stall: Stall, abouts: list[str], reason: str = "typed in wrong") -> None:
    actions.pair_by_hand(
        key=new_key(), weekend=stall.first, abouts=abouts, reason=reason, who=stall.owner,
        now=SUNDAY_NIGHT,
    )  # fmt: skip


def test_leftovers_are_matched_on_the_page_and_taken_apart(sold: Stall, client: Client) -> None:
    """Another amount is no hindrance with a reason; both amounts stay seen."""
    client.force_login(sold.owner)
    page = shown(sold)
    assert page.fees == 1_30
    line = next(each for each in page.lines_left if each.told.amount == 40_00)
    told = {"about": [line.about, page.sales_left[0].about], "reason": "typed in wrong", "key": "p"}
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        for _ in range(2):
            client.post(reverse("closing:card_pair", args=[sold.first.pk]), told)
        page = shown(sold)
        assert [(each.how, each.amount, each.sold) for each in page.pairs] == [
            (How.HAND, 40_00, 39_00)
        ]
        assert (page.sold, page.charged, page.unexplained) == (39_00, 47_00, 1)
        answer = client.get(reverse("closing:cards", args=[sold.first.pk])).content.decode()
        assert "sold for 39.00" in answer
        assert "Fees kept of it" in answer
        pair = page.pairs[0].by_hand
        assert pair is not None
        client.post(reverse("closing:card_apart", args=[pair.pk]))
    assert shown(sold).pairs == ()


def test_a_match_needs_both_sides_and_a_reason_for_another_amount(sold: Stall) -> None:
    """Two lines, one that is unknown, and 7.00 for 39.00 without a word are refused."""
    page = shown(sold)
    lines, sale = [each.about for each in page.lines_left], page.sales_left[0].about
    for abouts, reason in (
        (lines, "so"), ([sale], "so"), ([sale, lines[0], "line:none"], "so"),
        ([sale, lines[0]], " "),
    ):  # fmt: skip
        with pytest.raises(Refused, match="Nothing was saved"):
            pairs(sold, abouts, reason)
    assert shown(sold).pairs == ()


def test_a_match_lapses_with_its_statement(sold: Stall) -> None:
    """Taken out of the comparison, its line is gone; the sale stands alone again."""
    page = shown(sold)
    pairs(sold, [page.lines_left[0].about, page.sales_left[0].about])
    actions.remove_statement(statement=page.statements[0], who=sold.owner, now=SUNDAY_NIGHT)
    assert [sale.amount for sale in shown(sold).sales_left] == [39_00]
