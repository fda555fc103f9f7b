"""The reads of closing: a fixed number of statements, and the statement's own sums."""

from typing import Any

import pytest

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import PriceFactory, WareFactory
from vendor.closing import count_sheet, pages, statement_sheet
from vendor.closing.checklist import still_open
from vendor.closing.queries import stall_lines
from vendor.closing.takings import till_sheet
from vendor.counter.models import Unsettled
from vendor.fairs.models import Weekend
from vendor.house.models import Studio
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def fresh(stall: Stall) -> Weekend:
    return Weekend.objects.select_related("fair__stall", "fair__tier").get(pk=stall.first.pk)


def busy(stall: Stall, kinds: int) -> list[Ware]:
    """So many kinds: five packed, two sold, three counted, at 34.00."""
    ware = []
    for _ in range(kinds):
        each = PriceFactory(tier=stall.first.fair.tier).ware
        stall.packs(each, 5)
        stall.sells(each, 2, amount=68_00, method="card")
        stall.counts(each, 3)
        ware.append(each)
    return ware


@pytest.mark.parametrize("kinds", [1, 12])
def test_a_weekend_is_read_in_as_many_statements_as_ever(
    stall: Stall, kinds: int, django_assert_num_queries: Any
) -> None:
    """However much was sold and counted."""
    busy(stall, kinds)
    weekend = fresh(stall)
    with django_assert_num_queries(5):
        assert len(stall_lines(weekend)) == kinds
    with django_assert_num_queries(7):
        assert till_sheet(weekend).card.sales == kinds * 68_00
    with django_assert_num_queries(21):
        still_open(weekend, now=SUNDAY_NIGHT)


@pytest.mark.parametrize("kinds", [1, 12])
def test_a_statement_is_read_in_four(
    stall: Stall, kinds: int, django_assert_num_queries: Any
) -> None:
    """With all its lines, who explained them, its till, and the cards without a partner."""
    busy(stall, kinds)
    stall.counts_cash(0)
    closing = stall.closes()
    with django_assert_num_queries(4):
        page = pages.statement(closing)
    assert (page.total.sold, page.counted, page.variance) == (2 * kinds, 3 * kinds, 0)


def test_a_statement_adds_up_by_hand(stall: Stall) -> None:
    """Of 3 + 3 expected 5 counted: one missing of 34.00, a sixth; columns without use are out."""
    lost, _ = busy(stall, 2)
    stall.counts(lost, 2)
    stall.explains(lost, "fell")
    stall.counts_cash(0)
    page = pages.statement(stall.closes())
    assert (page.lacking, page.missing_worth, page.shrinkage_ppm) == (1, 34_00, 166_667)
    assert page.heads == ["Packed in", "Sold", "Expected", "Counted", "Differs"]
    assert page.foot == ["10", "4", "6", "5", "−1"]
    assert page.differences == [(lost.name, "−1", 0, "fell", "Tansy")]
    sheet = statement_sheet.as_sheet(page, Studio.objects.get())
    assert sheet.title.startswith("Statement 1: Oxmere Mill Winter Fair, weekend 1")
    assert ("Expected in the till", "$0.00") in sheet.blocks[2].rows


def test_the_statement_keeps_the_names_of_its_day(stall: Stall) -> None:
    """A later name does not rewrite it."""
    (ware,) = busy(stall, 1)
    name = ware.name
    stall.counts_cash(0)
    closing = stall.closes()
    Ware.objects.filter(pk=ware.pk).update(own_name="Renamed")
    assert pages.statement(closing).table[0][0] == name


def test_a_sale_of_no_known_weekend_is_asked_about(stall: Stall) -> None:
    """It may be of this one: a yes of the owner is enough."""
    Unsettled.objects.create(
        key="u", document={}, why="day", reason="no selling day", received_at=SUNDAY_NIGHT,
        sent_by=stall.owner,
    )  # fmt: skip
    items = still_open(stall.first, now=SUNDAY_NIGHT)
    assert [item.soft for item in items if "may be of this" in item.what] == [True]


def test_strays_are_found_by_their_words(stall: Stall) -> None:
    """Not without a search, and not what is on the stall already."""
    (known,) = busy(stall, 1)
    stray = WareFactory(own_name="Ølkanne, grå")
    lines = stall_lines(fresh(stall))
    assert pages.strays(lines, "  ") == []
    assert {line.ware for line in pages.strays(lines, "GRÅ ølkanne")} == {stray}
    assert [line.grade for line in pages.strays(lines, known.code)] == ["second"]


def test_the_count_sheet_has_room_for_what_is_not_listed(stall: Stall) -> None:
    """One row a kind and six empty ones, none with a number."""
    (ware,) = busy(stall, 1)
    sheet = count_sheet.as_sheet(stall.first, stall_lines(fresh(stall)))
    rows = sheet.blocks[0].rows
    assert len(rows) == 7
    assert rows[0][:3] == (ware.name, ware.code, count_sheet.LINE)
