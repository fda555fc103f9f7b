"""Cards without a partner stand open until they are matched or explained; the statement says so."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.closing.makers import MONDAY, SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions, pages, statement_sheet
from vendor.closing.card_pages import card_page
from vendor.closing.card_rows import Columns
from vendor.closing.checklist import Kind, still_open
from vendor.closing.errors import StillOpen
from vendor.closing.models import Closing
from vendor.house.models import new_key
from vendor.house.studio import the_studio

pytestmark = pytest.mark.django_db
ROWS = b"Date,Gross,Fee,Id\n2026-11-21,39.00,1.00,a\n2026-11-21,7.00,0.30,b\nsoon,1,,c\n"


@pytest.fixture
def sold(stall: Stall) -> Stall:
    """Two sales by card, of 39.00 and of 12.00; all is counted."""
    ware = WareFactory()
    stall.packs(ware, 5)
    stall.sells(ware, amount=39_00, method="card")
    stall.sells(ware, amount=12_00, method="card")
    stall.counts(ware, 3)
    stall.cash("float", 100_00)
    stall.counts_cash(100_00)
    return stall


def compares(stall: Stall, *, reads: bool = True) -> None:
    """Read the statement: 39.00 is there, 12.00 is not, 7.00 is of nobody, a row says nothing."""
    said = {"who": stall.owner, "now": SUNDAY_NIGHT}
    statement = actions.take_statement(
        key="s", weekend=stall.first, name="cards.csv", content=ROWS,
        **said,  # type: ignore[arg-type]
    )  # fmt: skip
    if reads:
        columns = Columns("Gross", "Date", fee="Fee", text="Id")
        actions.map_statement(statement=statement, columns=columns, **said)  # type: ignore[arg-type]


def explains(stall: Stall) -> None:
    """Give both sides their reason."""
    page = card_page(stall.first, the_studio())
    for about, reason in (
        (page.open_sales[0].about, "the reader had no signal"),
        (page.open_lines[0].about, "a friend's"),
    ):
        actions.note_left(
            key=new_key(), weekend=stall.first, about=about, reason=reason, who=stall.owner,
            now=SUNDAY_NIGHT,
        )  # fmt: skip


def told(stall: Stall) -> list[tuple[str, bool]]:
    """What is said of the cards, and whether a yes is enough."""
    return [
        (each.what, each.soft)
        for each in still_open(stall.first, now=MONDAY)
        if each.kind in (Kind.CARDS, Kind.CARDS_LATER)
    ]


def test_without_a_statement_a_yes_is_enough(sold: Stall) -> None:
    """It comes days later; that it is not compared is said."""
    assert told(sold) == [("$51.00 by card is compared with no statement yet.", True)]
    assert sold.closes().card_charged is None


def test_what_has_no_partner_on_either_side_stands_in_the_way(sold: Stall) -> None:
    """With how many and how much; explained, it stands no more."""
    compares(sold)
    assert told(sold) == [
        ("One card sale has no line in the statement ($12.00): match by hand, or say why.", False),
        ("One card line is for no sale ($7.00): match by hand, or say why.", False),
        ("One row of card statements can't be read.", True),
    ]
    with pytest.raises(StillOpen, match="no line in the statement"):
        sold.closes()
    explains(sold)
    assert told(sold) == [("One row of card statements can't be read.", True)]


def test_a_statement_that_nobody_can_read_yet_is_named(sold: Stall) -> None:
    """Its columns are not named, so nothing is compared until then."""
    compares(sold, reads=False)
    assert told(sold) == [
        ("$51.00 by card is compared with no statement yet.", True),
        ("Not read yet, by their columns: cards.csv.", True),
    ]


def test_the_statement_says_what_was_explained(sold: Stall, client: Client) -> None:
    """On its page and on paper, with the fees; as the closing found it."""
    compares(sold)
    client.force_login(sold.owner)
    steps = reverse("closing:weekend", args=[sold.first.pk])
    assert "2 without a partner or a reason" in client.get(steps).content.decode()
    explains(sold)
    assert "Each has its partner or its reason" in client.get(steps).content.decode()
    sold.closes()
    closing = Closing.objects.get()
    assert (closing.card_charged, closing.card_fees) == (46_00, 1_30)
    page = client.get(reverse("closing:statement", args=[1])).content.decode()
    sheet = statement_sheet.as_sheet(pages.statement(closing), the_studio())
    paper = " ".join(str(cell) for block in sheet.blocks for row in block.rows for cell in row)
    for said in ("a sale without a line", "the reader had no signal", "a line without a sale"):
        assert said in page
        assert said in paper
    assert "$46.00 was charged" in page
    assert "Fees kept of it $1.30" in paper
