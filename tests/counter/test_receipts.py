"""Receipts: every figure on paper is the sale's own, and a gift receipt has none."""

import io

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from tests.counter.stalls import NOW, SATURDAY, Stall
from tests.factories import stall as stall_of
from vendor.counter import actions, receipts
from vendor.counter.intake import take_in
from vendor.counter.models import Sale
from vendor.fairs.models import Fair, SellingDay, Weekend


@pytest.fixture
def sale(stall: Stall) -> Sale:
    """Two tumblers and a bowl, 5.00 off, a fifty and a hundred, a tip, a note."""
    document = stall.document(
        (stall.tumbler, 2),
        (stall.bowl, 1),
        discount={"amount": 500, "rate_ppm": 0},
        discount_reason="Rainy day",
        payments=[{"method": "cash", "settles": 0, "tip": 310, "tendered": 15000}],
        note="Grüße – Łódź",
    )
    take_in(raws=[document], who=stall.helper, now=NOW)
    return Sale.objects.get()


def test_the_text_adds_up_line_by_line(stall: Stall, sale: Sale) -> None:
    """114.00 less 5.00 is 109.00; 7.25 % of it is 7.9025, so 7.90; 116.90 in all."""
    text = receipts.as_text(receipts.receipt_of(sale, studio=stall.studio))
    assert "Tansy Weir Pottery\nOxmere Mill Winter Fair\n" in text
    for row in (
        "Without tax                      $109.00",
        "Tax, 7.25%                         $7.90",
        "Total                            $116.90",
        "Paid in cash                     $116.90",
        "Tip                                $3.10",
        "Change from $150.00               $30.00",
        "Grüße – Łódź",
    ):
        assert row in text
    assert max(len(row) for row in text.splitlines()) <= receipts.WIDTH


def test_tax_that_is_in_the_price_is_told_as_part_of_it(db: None) -> None:
    """34.00 with 7.25 % in it holds 2.30 of tax (3400 x 7.25 / 107.25 = 229.8)."""
    stall = Stall(tax_included=True)
    take_in(raws=[stall.document()], who=stall.owner, now=NOW)
    text = receipts.as_text(receipts.receipt_of(Sale.objects.get(), studio=stall.studio))
    assert "Total                             $34.00\n" in text
    assert "Of it tax, 7.25%                   $2.30\n" in text


def test_a_gift_receipt_names_no_price(stall: Stall, sale: Sale) -> None:
    """What, how many, where and when, and the note."""
    text = receipts.as_text(receipts.receipt_of(sale, studio=stall.studio, is_gift=True))
    assert "2 × Tumbler, celadon" in text
    assert "Gift receipt 1" in text
    assert "$" not in text
    assert "34" not in text


@pytest.mark.parametrize("gift", [False, True])
def test_the_receipt_is_shown_printed_and_sent(stall: Stall, sale: Sale, gift: bool) -> None:
    """The page, the PDF and the text say the same; strangers see none of them."""
    client = Client()
    asked = {"gift": "1"} if gift else {}
    pages = [f"counter:{name}" for name in ("sale", "sale_text", "sale_pdf")]
    assert {Client().get(reverse(page, args=[sale.pk])).status_code for page in pages} == {302}
    with time_machine.travel(NOW, tick=False):
        client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
        shown, text, pdf = (client.get(reverse(page, args=[sale.pk]), asked) for page in pages)
    drawn = PdfReader(io.BytesIO(pdf.content)).pages[0].extract_text()
    for words in (shown.content.decode(), text.content.decode(), drawn):
        assert "Tumbler, celadon" in words
        assert ("116.90" in words) is not gift


def test_each_fair_numbers_its_receipts_by_itself_and_without_a_gap(stall: Stall) -> None:
    """What waits takes no number, what comes twice no second one, and what is undone keeps its."""
    lane = Fair.objects.create(
        name="Sandbar Lane Market", stall=stall_of("Stall at Sandbar Lane"), tier=stall.tier,
        tax_rate_ppm=72_500,
    )  # fmt: skip
    weekend = Weekend.objects.create(fair=lane, number=1, first_day=SATURDAY, last_day=SATURDAY)
    SellingDay.objects.create(weekend=weekend, day=SATURDAY)
    first, second = stall.document(), stall.document()
    there = [stall.document(fair=lane.pk), stall.document(fair=lane.pk)]
    wrong = stall.document() | {"fair": 999_999}
    raws = [first, there[0], wrong, first, second, there[1]]
    outcomes = [answer.outcome for answer in take_in(raws=raws, who=stall.owner, now=NOW)]
    assert outcomes == ["taken", "taken", "kept", "had", "taken", "taken"]
    undone = Sale.objects.get(key=second["key"])
    actions.undo_sale(key="oops", sale=undone, reason="Rung up wrong", who=stall.owner, now=NOW)
    take_in(raws=[stall.document()], who=stall.owner, now=NOW)
    for fair, numbers in ((stall.fair, [1, 2, 3]), (lane, [1, 2])):
        sales = Sale.objects.filter(fair=fair).order_by("id")
        assert list(sales.values_list("number", flat=True)) == numbers
