"""The reads of packing: the right figures, in a fixed number of statements."""

from collections.abc import Callable

import pytest

from tests.factories import PriceFactory, WareFactory, shelf, stocked
from tests.fairs.makers import FIRST_DAY, LOADED_AT, a_fair, on_the_stall, packed, weekends_of
from vendor.fairs import actions, packing_sheet, queries
from vendor.fairs.actions import Packed
from vendor.fairs.models import PackingList, Weekend
from vendor.house.models import Studio, User
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Line

pytestmark = pytest.mark.django_db


@pytest.fixture
def weekend(owner: User) -> Weekend:
    return weekends_of(a_fair(owner), owner)[0]


def a_list(weekend: Weekend, owner: User, kinds: int) -> PackingList:
    """Pack so many kinds of ware, two of each, at 34.00, of five on the shelf."""
    lines = []
    for _ in range(kinds):
        ware = PriceFactory(tier=weekend.fair.tier).ware
        stocked(ware, 5, who=owner)
        lines.append(Packed(ware.pk, 2, tote="A"))
    made = packed(weekend, lines, owner, key=f"list-{PackingList.objects.count()}")
    lists = PackingList.objects.select_related("weekend__fair__stall", "weekend__fair__tier")
    return lists.get(pk=made.pk)


def test_a_list_is_worth_what_the_fair_asks(weekend: Weekend, owner: User) -> None:
    """Three kinds, two of each, at 34.00: 204.00; a piece without a price is said to have none."""
    made = a_list(weekend, owner, 3)
    plain = WareFactory()
    stocked(plain, 1, who=owner)
    actions.pack(packing_list=made, lines=[Packed(plain.pk, 1)], who=owner, now=LOADED_AT)
    page = queries.packing(made)
    assert (page.pieces, page.worth, page.unpriced, page.short) == (7, 204_00, 1, 0)
    assert [(tote, pieces) for tote, _, pieces in page.totes] == [("", 1), ("A", 6)]


def test_a_line_that_the_shelf_no_longer_fills_is_short(weekend: Weekend, owner: User) -> None:
    """Two packed of five, and four sold elsewhere since: one too many."""
    made = a_list(weekend, owner, 1)
    ware = made.lines.get().ware
    ledger.sell(key="s", lines=[Line(ware.pk, 4)], source=shelf(), who=owner, now=LOADED_AT)
    page = queries.packing(made)
    assert (page.rows[0].short, page.short) == (1, 1)


@pytest.mark.parametrize("kinds", [1, 12])
def test_a_packing_list_is_read_in_as_many_statements_as_ever(
    weekend: Weekend, owner: User, kinds: int, django_assert_num_queries: Callable[..., object]
) -> None:
    """However long it is."""
    made = a_list(weekend, owner, kinds)
    with django_assert_num_queries(8):  # type: ignore[attr-defined]
        assert len(queries.packing(made).rows) == kinds
    with django_assert_num_queries(4):  # type: ignore[attr-defined]
        assert len(queries.pickable(made)) == kinds


@pytest.mark.parametrize("lists", [1, 8])
def test_the_first_page_is_read_in_as_many_statements_as_ever(
    weekend: Weekend, owner: User, lists: int, django_assert_num_queries: Callable[..., object]
) -> None:
    """However many weekends and lists there are."""
    for _ in range(lists):
        on_the_stall(weekend, WareFactory(), 2, owner)
    with django_assert_num_queries(4):  # type: ignore[attr-defined]
        page = queries.first_page(today=FIRST_DAY)
    assert page.coming is not None
    assert (page.coming.pieces, page.on_the_stall, len(page.later)) == (2 * lists, 2 * lists, 4)


def test_the_sheet_says_the_list_in_words(weekend: Weekend, owner: User) -> None:
    """Totes as tables, a box to tick, pieces and prices, and what a letter can't print."""
    made = a_list(weekend, owner, 2)
    ware = made.lines.first().ware  # type: ignore[union-attr]
    ware.own_name = "Émile’s jar 壺"
    ware.save()
    sheet = packing_sheet.as_sheet(queries.packing(made), Studio.objects.get())
    assert sheet.about[1] == "4 pieces, worth $136.00 at the fair's prices."
    assert sheet.blocks[0].heading == "Tote A"
    assert sheet.blocks[0].foot[3] == "4"
    drawn = packing_sheet.draw(queries.packing(made), studio=Studio.objects.get())
    assert drawn == packing_sheet.draw(queries.packing(made), studio=Studio.objects.get())


def test_what_came_home_is_listed(weekend: Weekend, owner: User) -> None:
    """The latest first, with its pieces."""
    ware = WareFactory()
    on_the_stall(weekend, ware, 5, owner)
    for n in (1, 2):
        actions.bring_home(
            key=f"h{n}", fair=weekend.fair, lines=[Line(ware.pk, n)], who=owner, now=LOADED_AT
        )
    assert [entry.pieces for entry in queries.brought_home(weekend.fair)] == [2, 1]  # type: ignore[attr-defined]
