"""Printing tags through the pages: from what was chosen to a PDF that scans."""

import base64
import re
from contextlib import closing
from io import BytesIO

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from PIL import Image

from tests.factories import PriceFactory, UserFactory, WareFactory, stocked
from tests.firings.boards import batch, loaded
from tests.firings.kiln import count, fired, unloaded
from tests.labels.reading import cut_out, decode, picture, words
from tests.labels.shop import at, filled, logged_in, owner, priced, seconds
from vendor.labels.drawing import PIXELS_WIDE, picture_of
from vendor.labels.models import LabelPrinter, LabelSheet, PrintRun
from vendor.ledger import holds
from vendor.ledger.models import Balance, Hold
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def printed_pdf(pages: Client, answer: object) -> bytes:
    """Follow a print to its PDF."""
    address = answer["Location"]  # type: ignore[index]
    got = pages.get(f"{address}pdf/")
    assert got["Content-Type"] == "application/pdf"
    assert got["Content-Disposition"].startswith("inline")
    return got.content


def test_the_pdf_of_a_page_scans_as_the_code_of_the_ware(pages: Client) -> None:
    """From the form to the decoder: the bars of each label are the code of its ware."""
    tumbler, bowl = priced(), priced("Berry bowl", "ash", 5200)
    chosen = {f"w{tumbler.pk}": 2, f"w{bowl.pk}": 1}
    data = printed_pdf(pages, pages.post(at("index"), filled(chosen)))
    sheet = LabelSheet.objects.order_by("pk")[0].sheet
    image = picture(data, 1, 300)
    found = [decode(cut_out(image, sheet.frame(place), 300)) for place in (1, 2, 3)]
    assert sorted(filter(None, found)) == [bowl.code, tumbler.code, tumbler.code]
    assert "$34.00" in words(data)
    assert "$52.00" in words(data)


def test_a_firing_brings_its_tags_firsts_at_the_list_and_seconds_at_theirs(pages: Client) -> None:
    """Seconds carry the word and the price of seconds: 70 % of 34 dollars is 24, half up."""
    seconds()
    firing = fired((priced(), 9))
    unloaded(firing, count(firing, 6, 2, cracked=1))
    address = f"{at('index')}?firing={firing.pk}"
    form = pages.get(address).context["form"]
    assert {pick.name: pick.suggested for pick in form.picks} == {
        "Tumbler, celadon": 6,
        "Tumbler, celadon, second": 2,
    }
    counts = {pick.key: pick.suggested for pick in form.picks}
    data = printed_pdf(pages, pages.post(address, filled(counts)))
    text = words(data)
    assert (text.count("$34.00"), text.count("$24.00"), text.count("Second")) == (6, 2, 2)
    sheet = LabelSheet.objects.order_by("pk")[0].sheet
    image = picture(data, 1, 300)
    read = [decode(cut_out(image, sheet.frame(place), 300)) for place in range(1, 9)]
    assert read == ["TUM-CEL"] * 6 + ["TUM-CEL-"] * 2


def test_a_firing_of_two_batches_of_one_ware_suggests_all_its_pieces(pages: Client) -> None:
    """Four of one batch, three of another, a second among them."""
    ware = priced()
    one, two = (batch(4, ware.form, stage=5) for _ in range(2))
    firing = loaded((ware, 4, one), (ware, 3, two))
    unloaded(firing, count(firing, 4), count(firing, 2, 1, 1))
    form = pages.get(f"{at('index')}?firing={firing.pk}").context["form"]
    assert [pick.suggested for pick in form.picks] == [6, 1]


def test_promised_pieces_of_a_firing_get_their_number_and_no_price(pages: Client) -> None:
    """Pieces held since the kiln was unloaded are tagged for their promise, without a name."""
    ware = priced()
    firing = unloaded(fired((ware, 5)))
    shelf = Balance.objects.get(ware=ware).place
    now = firing.unloaded_at
    assert now is not None
    holds.hold(
        key="p12", ware_id=ware.pk, at=shelf, purpose=Hold.Purpose.COMMITMENT,
        label="Promise 12", who=owner(), now=now,
    )  # fmt: skip
    address = f"{at('index')}?firing={firing.pk}"
    picks = pages.get(address).context["form"].picks
    assert [(pick.name, pick.suggested) for pick in picks] == [
        ("Tumbler, celadon", 4),
        ("Tumbler, celadon: Promise 12", 1),
    ]
    counts = {pick.key: pick.suggested for pick in picks}
    text = words(printed_pdf(pages, pages.post(address, filled(counts))))
    assert text.count("$34.00") == 4
    assert text.count("for Promise 12") == 1


def test_ware_without_a_price_is_named_and_what_was_typed_is_kept(pages: Client) -> None:
    """Nothing is printed; the other count stands where it was."""
    tumbler, dear = priced(), WareFactory()
    chosen = {f"w{tumbler.pk}": 7, f"w{dear.pk}": 3}
    answer = pages.post(at("index"), filled(chosen))
    page = answer.content.decode()
    assert f"“{dear.name}” has no price" in page
    assert 'value="7"' in page
    assert not PrintRun.objects.exists()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", "There are no tags to print."),
        ("0", "There are no tags to print."),
        ("-3", "can’t be below zero"),
        ("100000", "At most 10,000 tags of one piece"),
        ("9e9", "Write a whole number of tags"),
        ("twelve", "Write a whole number of tags"),
    ],
)
def test_impossible_counts_are_told_and_kept(pages: Client, typed: str, told: str) -> None:
    """Each with a sentence; the page keeps what was typed."""
    ware = priced()
    answer = pages.post(at("index"), filled({f"w{ware.pk}": typed}))
    page = answer.content.decode().replace("can&#x27;t", "can’t")
    assert told in page
    assert not typed or f'value="{typed}"' in page
    assert not PrintRun.objects.exists()


def test_more_tags_than_go_in_one_file_are_refused_together(pages: Client) -> None:
    """Each count may be possible, and their sum not."""
    chosen = {f"w{priced(name, name).pk}": 9_000 for name in ("Tumbler", "Bowl")}
    answer = pages.post(at("index"), filled(chosen))
    assert answer.status_code == 409
    assert "more than 10,000 tags" in answer.content.decode()


def test_a_long_print_comes_from_the_disk(pages: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is longer than the program holds in memory at once is the same file, sent in parts."""
    answer = pages.post(at("index"), filled({f"w{priced().pk}": 500}))
    short = printed_pdf(pages, answer)
    monkeypatch.setattr("vendor.labels.runs.IN_MEMORY", 1_000)
    long = pages.get(f"{answer['Location']}pdf/")  # type: ignore[index]
    with closing(long):
        assert long.streaming
        assert b"".join(long.streaming_content) == short
    assert long["Content-Type"] == "application/pdf"
    assert int(long["Content-Length"]) == len(short) > 1_000


def test_a_first_label_that_the_sheet_has_not_is_refused(pages: Client) -> None:
    """Thirty labels have no thirty-first."""
    ware = priced()
    answer = pages.post(at("index"), filled({f"w{ware.pk}": 1}, start=31))
    assert "There is no label 31 on this sheet: it has 30." in answer.content.decode()


def test_a_page_sent_twice_is_one_print(pages: Client) -> None:
    """The second answer leads to the same print."""
    sent = filled({f"w{priced().pk}": 2})
    first, second = (pages.post(at("index"), sent)["Location"] for _ in range(2))
    assert first == second
    assert PrintRun.objects.count() == 1


def test_a_page_gone_back_to_and_changed_is_another_print(pages: Client) -> None:
    """Nothing that was changed is passed over, and sending that twice is one print too."""
    ware = priced()
    for tags in (5, 6, 6, 5):
        pages.post(at("index"), filled({f"w{ware.pk}": tags}))
    assert [run.tags.get().quantity for run in PrintRun.objects.order_by("pk")] == [5, 6]


def test_what_was_used_last_is_offered_first(pages: Client) -> None:
    """Sheet, printer and bars."""
    ware, other = priced(), LabelSheet.objects.all()[3]
    pages.post(at("index"), filled({f"w{ware.pk}": 1}, sheet=other.pk, symbol="qr"))
    form = pages.get(at("index")).context["form"]
    assert (form["sheet"].value(), form["symbol"].value()) == (other.pk, "qr")


def test_looking_it_over_shows_the_first_page_and_prints_nothing(pages: Client) -> None:
    """It is the page of the PDF that is then printed, to the last dot, and its bars are read."""
    ware = priced()
    LabelPrinter.objects.update(nudge_right=400)
    chosen = filled({f"w{ware.pk}": 31}, start=2)
    page = pages.post(at("index"), chosen | {"preview": "1"}).content.decode()
    assert "31 tags on 2 pages" in page
    assert not PrintRun.objects.exists()
    [seen] = re.findall(r'href="data:image/png;base64,([^"]+)"', page)
    pages.post(at("index"), chosen)
    data = pages.get(at("run_pdf", PrintRun.objects.get().pk)).content
    assert base64.b64decode(seen) == picture_of(data)
    with Image.open(BytesIO(base64.b64decode(seen))) as image:
        assert image.width == PIXELS_WIDE
        assert image.getextrema() == (0, 255)


def test_tags_are_the_owners(client: Client) -> None:
    """A helper may not print."""
    owner()
    assert logged_in(client, UserFactory()).get(at("index")).status_code == 403


def test_an_address_of_nothing_is_not_found(pages: Client) -> None:
    """A firing that isn't there is a page that isn't there."""
    for asked in ("firing=999", "list=x", "count=1e9"):
        assert pages.get(f"{at('index')}?{asked}").status_code == 404


def stock_up(numbers: range) -> None:
    """Make ware with stock, two prices, and tags that were printed."""
    for number in numbers:
        ware = priced(f"Form {number}", f"glaze {number}", code=f"C{number}")
        stocked(ware, 3)
        PriceFactory(ware=ware, amount=100 + number, from_date="2026-11-01")


def statements(pages: Client, address: str) -> int:
    """Return how many statements a page takes."""
    with CaptureQueriesContext(connection) as taken:
        assert pages.get(address).status_code == 200
    return len(taken)


@pytest.mark.parametrize("asked", ["", "?from=untrue", "?from=changed", "?kind=reward"])
def test_the_page_takes_as_many_statements_for_much_as_for_little(
    pages: Client, asked: str
) -> None:
    """However much ware, stock and print there is; and not more than thirty."""
    stock_up(range(2))
    chosen = {f"w{ware.pk}": 2 for ware in Ware.objects.all()}
    pages.post(at("index"), filled(chosen))
    few = statements(pages, at("index") + asked)
    stock_up(range(2, 30))
    chosen = {f"w{ware.pk}": 3 for ware in Ware.objects.all()}
    pages.post(at("index"), filled(chosen, key="page-2"))
    assert statements(pages, at("index") + asked) == few <= 30
    run = PrintRun.objects.get(key="page-2")
    assert statements(pages, at("run", run.pk)) <= 12
    assert statements(pages, at("run_pdf", run.pk)) <= 12


def test_a_studio_that_has_nothing_yet_still_sees_the_page(pages: Client) -> None:
    """No ware, no prices, no sheet on offer: sentences, not faults."""
    assert "Nothing to tag yet" in pages.get(at("index")).content.decode()
    LabelSheet.objects.update(retired=True)
    ware = WareFactory()
    assert pages.get(at("index")).status_code == 200
    answer = pages.post(at("index"), {"key": "k", f"w{ware.pk}": "1", "start": "1"})
    assert answer.status_code == 200
    assert "This is still empty." in answer.content.decode()
    for kind in ("hang", "fold", "talker", "reward", "slip", "no-such-kind"):
        assert pages.get(f"{at('index')}?kind={kind}").status_code == 200
