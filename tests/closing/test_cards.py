"""Card statements beside card sales: taken in, compared, explained."""

import datetime
import io

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook

from tests.closing.makers import SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.card_pages import CardPage, card_page
from vendor.closing.card_rows import Columns
from vendor.closing.matching import How
from vendor.closing.models import CardNote, CardStatement
from vendor.house.cells import from_json
from vendor.house.errors import Refused
from vendor.house.models import Studio, User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
HEAD = "Date,Time,Gross,Fee,Id\n"
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture(autouse=True)
def _sunday_night() -> object:
    with time_machine.travel(SUNDAY_NIGHT, tick=False):
        yield


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    client.force_login(owner)
    return client


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Sold at noon and at three for 36.47, and at four for 49.34 with a tip of 2.00, by card."""
    ware = WareFactory()
    stall.packs(ware, 10)
    for minutes, amount, tip in ((0, 36_47, 0), (180, 36_47, 0), (240, 49_34, 2_00)):
        stall.sells(
            ware, at=SATURDAY_NOON + minutes * MINUTE, amount=amount, tip=tip, method="card"
        )
    return ware


def took(stall: Stall, rows: str, name: str = "cards.csv", head: str = HEAD) -> CardStatement:
    return actions.take_statement(
        key=name, weekend=stall.first, name=name, content=(head + rows).encode(), who=stall.owner,
        now=SUNDAY_NIGHT,
    )  # fmt: skip


def compared(stall: Stall, *files: str) -> CardPage:
    for n, rows in enumerate(files):
        statement = took(stall, rows, name=f"cards{n}.csv")
        actions.map_statement(
            statement=statement,
            columns=Columns("Gross", "Date", "Time", "Fee", "Id"),
            who=stall.owner,
            now=SUNDAY_NIGHT,
        )
    return card_page(stall.first, Studio.objects.get())


GOOD = """2026-11-21,15:02,36.47,1.06,b
2026-11-21,12:01,36.47,1.06,a
2026-11-21,16:00,51.34,1.40,c
"""


def test_every_sale_finds_its_line(stall: Stall, tumbler: Ware) -> None:
    """The two of 36.47 by their times, the third with its tip; nothing is left."""
    found = compared(stall, GOOD)
    assert [(pair.sales[0].name, pair.lines[0].told.text, pair.how) for pair in found.pairs] == [
        ("Sale 2", "b", How.NEAREST), ("Sale 1", "a", How.NEAREST), ("Sale 3", "c", How.ALONE),
    ]  # fmt: skip
    assert (found.sold, found.charged, found.matched) == (124_28, 124_28, 124_28)
    assert found.unexplained == 0


def test_what_is_left_on_either_side_is_shown_until_it_is_explained(
    stall: Stall, tumbler: Ware
) -> None:
    """A sale that never reached the card company, and a charge that is of another stall."""
    found = compared(stall, GOOD.replace("51.34", "77.00"))
    assert [sale.name for sale in found.sales_left] == ["Sale 3"]
    assert [line.told.amount for line in found.lines_left] == [77_00]
    for each in (found.sales_left[0], found.lines_left[0]):
        actions.note_left(
            key=each.about, weekend=stall.first, about=each.about, reason="the terminal fell",
            who=stall.owner, now=SUNDAY_NIGHT,
        )  # fmt: skip
    assert card_page(stall.first, Studio.objects.get()).unexplained == 0


def test_statements_that_overlap_count_each_line_once(stall: Stall, tumbler: Ware) -> None:
    """The second file begins with what the first ended with; two equal lines stay two."""
    twins = "2026-11-21,18:00,5.00,0.10,\n" * 2
    found = compared(stall, GOOD + twins, twins + "2026-11-22,11:00,7.00,0.10,d\n")
    assert sorted(line.told.amount for line in found.lines_left) == [5_00, 5_00, 7_00]


def test_lines_of_other_days_and_unreadable_rows_are_set_apart(stall: Stall, tumbler: Ware) -> None:
    """They are counted and named, with the row they stand in."""
    found = compared(stall, GOOD + "2026-10-01,12:00,9.00,0.1,x\nTotal,,124.28,,\n")
    assert found.elsewhere == 1
    assert [(row.row, row.statement) for row in found.rejected] == [(6, "cards0.csv")]


def test_undone_sales_are_out_and_refunds_below_zero(stall: Stall, tumbler: Ware) -> None:
    """A refund on the card is a line below zero."""
    sale = stall.sells(tumbler, amount=20_00, method="card")
    stall.refunds(sale, 20_00, tumbler, method="card")
    found = compared(stall, GOOD + "2026-11-21,12:00,20.00,,e\n2026-11-22,10:00,-20.00,,f\n")
    assert found.unexplained == 0
    assert found.sold == 124_28


def test_the_same_file_is_taken_once(stall: Stall, tumbler: Ware) -> None:
    """By its contents, whatever its name; taken out, it can come again."""
    first = took(stall, GOOD)
    assert took(stall, GOOD, name="again.csv") == first
    actions.remove_statement(statement=first, who=stall.owner, now=SUNDAY_NIGHT)
    assert took(stall, GOOD, name="anew.csv") != first


def test_columns_are_remembered_by_the_heads(stall: Stall, tumbler: Ware) -> None:
    """The next file with the same heads is read at once."""
    columns = Columns("Gross", "Date", "Time", "Fee", "Id", "mdy")
    actions.map_statement(
        statement=took(stall, GOOD), columns=columns, who=stall.owner, now=SUNDAY_NIGHT
    )
    later = took(stall, "2026-11-22,10:00,1.00,,z\n", name="later.csv")
    assert from_json(Columns, later.columns) == columns


@pytest.mark.parametrize(
    "columns", [Columns(), Columns("Gross"), Columns("Gross", "When"), Columns("Nope", "Date")]
)
def test_columns_that_are_not_there_are_refused(stall: Stall, columns: Columns) -> None:
    """An amount and a day, chosen from the file's own heads."""
    with pytest.raises(Refused):
        actions.map_statement(
            statement=took(stall, GOOD), columns=columns, who=stall.owner, now=SUNDAY_NIGHT
        )


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"one line only", b"PK\x03\x04broken"])
def test_what_is_no_table_is_refused(potter: Client, stall: Stall, content: bytes) -> None:
    """The page says so beside the file."""
    address = reverse("closing:cards", args=[stall.first.pk])
    answer = potter.post(address, {"file": SimpleUploadedFile("x.csv", content), "key": "k"})
    assert answer.status_code == 409
    assert not CardStatement.objects.exists()


def test_a_workbook_is_taken_in_and_compared_page_by_page(
    potter: Client, stall: Stall, tumbler: Ware
) -> None:
    """Uploaded, its columns named, compared, a leftover explained, and taken out again."""
    book, target = Workbook(), io.BytesIO()
    noon = SATURDAY_NOON.replace(tzinfo=None)
    for row in (["When", "Sum"], [noon + MINUTE, 36.47], [noon, 5], ["2026-11-21 12:05", -5]):
        book.active.append(row)  # type: ignore[union-attr]
    book.save(target)
    cards = reverse("closing:cards", args=[stall.first.pk])
    file = SimpleUploadedFile("cards.xlsx", target.getvalue())
    columns = potter.post(cards, {"file": file, "key": "k"}).url
    assert "What its columns mean" in potter.get(columns).content.decode()
    assert potter.post(columns, {"amount": "Sum", "day": "When", "order": "ymd"}).url == cards
    shown = potter.get(cards).content.decode()
    assert "Lines that no sale is for" in shown
    pair = card_page(stall.first, Studio.objects.get()).pairs[0]
    assert (pair.sales[0].name, pair.minutes) == ("Sale 1", 1)
    about = card_page(stall.first, Studio.objects.get()).lines_left[0].about
    note = reverse("closing:card_note", args=[stall.first.pk])
    for reason in ("", "a neighbour's"):
        potter.post(note, {"about": about, "reason": reason, "key": "n"})
    assert CardNote.objects.get().reason == "a neighbour's"
    statement = CardStatement.objects.get()
    potter.post(reverse("closing:card_remove", args=[statement.pk]))
    assert potter.get(columns).status_code == 404


def test_cards_are_the_owner_s(client: Client, helper: User, stall: Stall) -> None:
    """A helper sees no statements of the bank."""
    client.force_login(helper)
    assert client.get(reverse("closing:cards", args=[stall.first.pk])).status_code == 403


@pytest.mark.parametrize("sales", [1, 15])
def test_cards_are_read_in_as_many_statements_as_ever(
    stall: Stall, sales: int, django_assert_num_queries: object
) -> None:
    """However many sales and lines there are."""
    ware = WareFactory()
    stall.packs(ware, 20)
    for n in range(sales):
        stall.sells(ware, amount=1_00 + n, method="card")
    compared(stall, "".join(f"2026-11-21,12:00,1.{n:02},0,{n}\n" for n in range(sales)))
    studio = Studio.objects.get()
    with django_assert_num_queries(6):  # type: ignore[operator]
        assert len(card_page(stall.first, studio).pairs) == sales
