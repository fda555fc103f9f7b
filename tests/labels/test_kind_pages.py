"""Each kind of tag through the page: what it asks for, and what is on its paper."""

import pytest
from django.test import Client

from tests.factories import NOW, shelf, stocked
from tests.fairs.makers import a_fair, packed, weekends_of
from tests.firings.kiln import fired
from tests.labels.reading import cut_out, decode, picture, words
from tests.labels.shop import at, filled, owner, priced
from vendor.fairs.actions import Packed
from vendor.labels.models import LabelSheet, PrintRun
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Counted
from vendor.ledger.holds import hold
from vendor.ledger.models import Hold
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def printed(pages: Client, address: str, counts: dict[str, object], **more: object) -> bytes:
    """Print through the page; return the PDF."""
    answer = pages.post(address, filled(counts, **more))
    assert answer.status_code == 302, answer.content.decode()
    return pages.get(at("run_pdf", PrintRun.objects.get().pk)).content


@pytest.mark.parametrize("symbol", ["code128", "qr"])
@pytest.mark.parametrize("kind", ["sticker", "hang", "fold"])
def test_every_price_tag_scans(pages: Client, kind: str, symbol: str) -> None:
    """From the page to the decoder."""
    ware = priced()
    sheet = LabelSheet.objects.all()[4]
    data = printed(
        pages, f"{at('index')}?kind={kind}", {f"w{ware.pk}": 1}, symbol=symbol, sheet=sheet.pk
    )
    label = cut_out(picture(data, 1, 300), sheet.sheet.frame(1), 300)
    assert decode(label, symbol) == ware.code


def test_a_shelf_talker_says_each_and_the_offer(pages: Client) -> None:
    """Thimble jars, 8 each or 3 for 21."""
    ware = priced("Thimble jar", "shino", 800)
    data = printed(
        pages, f"{at('index')}?kind=talker", {f"w{ware.pk}": 1}, offer_count=3, offer_price="21"
    )
    text = words(data)
    assert "$8.00 each" in text
    assert "or 3 for $21.00" in text


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"offer_count": 3}, "An offer needs both"),
        ({"offer_price": "21"}, "An offer needs both"),
        ({"offer_count": 3, "offer_price": "cheap"}, "can&#x27;t be read as an amount"),
        ({"offer_count": 1, "offer_price": "5"}, "This has to be 2 at least."),
    ],
)
def test_half_an_offer_is_told(pages: Client, more: dict[str, object], told: str) -> None:
    """And nothing is printed."""
    ware = priced()
    answer = pages.post(f"{at('index')}?kind=talker", filled({f"w{ware.pk}": 1}, **more))
    assert told in answer.content.decode()
    assert not PrintRun.objects.exists()


def promised(ware: Ware) -> Hold:
    """Set a piece aside for Marigold Fenn's promise."""
    stocked(ware, 1)
    held = hold(
        key="h", ware_id=ware.pk, at=shelf(), purpose=Hold.Purpose.COMMITMENT,
        label="Promise 12", who=owner(), now=NOW,
    )  # fmt: skip
    told = {"made_by": owner(), "made_at": NOW}
    person = Supporter.objects.create(key="s", name="Marigold Fenn", **told)
    Commitment.objects.create(
        key="c",
        number=12,
        supporter=person,
        ware=ware,
        state="held",
        hold=held,
        promised_on=NOW.date(),
        **told,
    )
    return held


@pytest.mark.parametrize(("names", "said"), [("", "for Promise 12"), ("on", "for Marigold")])
def test_reward_tags_say_no_price_and_a_name_only_if_asked(
    pages: Client, names: str, said: str
) -> None:
    """By the promise's number; by first name where the potter says so; never the whole name."""
    held = promised(priced("Berry bowl", "ash"))
    text = words(
        printed(
            pages, f"{at('index')}?kind=reward", {f"h{held.pk}": 1},
            **({"names_said": names} if names else {}),
        )
    )  # fmt: skip
    assert said in text
    assert "$" not in text
    assert "Fenn" not in text


def test_kiln_slips_say_what_is_in_the_firing(pages: Client) -> None:
    """One for each line of the load, before it is unloaded."""
    firing = fired((priced(), 14))
    address = f"{at('index')}?firing={firing.pk}&kind=slip"
    line = firing.lines.get()
    text = words(printed(pages, address, {f"f{line.pk}": 1}))
    assert "× 14" in text
    assert f"Firing {firing.number}, cone 6, Front loader" in text


def test_a_packing_list_and_a_count_suggest_their_pieces(pages: Client) -> None:
    """What is packed, what a count found beyond the book; never more than is free."""
    ware = priced()
    stocked(ware, 5)
    weekend = weekends_of(a_fair(owner()), owner())[2]
    listed = packed(weekend, [Packed(ware.pk, 4)], owner())
    form = pages.get(f"{at('index')}?list={listed.pk}").context["form"]
    assert [pick.suggested for pick in form.picks if pick.suggested] == [4]
    entry = ledger.correct(
        key="count", counts=[Counted(ware.pk, 7)], at=shelf(), who=owner(), now=NOW,
        reason="counted the shelf",
    )  # fmt: skip
    assert entry is not None
    form = pages.get(f"{at('index')}?count={entry.pk}").context["form"]
    assert [pick.suggested for pick in form.picks if pick.suggested] == [2]
    page = pages.get(at("index")).content.decode()
    assert f"?list={listed.pk}" in page
    assert f"?count={entry.pk}" in page
    hold(
        key="h", ware_id=ware.pk, at=shelf(), quantity=6, purpose=Hold.Purpose.COMMITMENT,
        label="Promise 1", who=owner(), now=NOW,
    )  # fmt: skip
    for address in (f"?list={listed.pk}", f"?count={entry.pk}"):
        form = pages.get(at("index") + address).context["form"]
        assert [pick.suggested for pick in form.picks if pick.suggested] == [1]


def test_the_coming_fair_sets_the_list_and_whether_tax_is_said(pages: Client) -> None:
    """Where its price contains the tax, tags say so unless told otherwise."""
    ware = priced()
    weekends_of(a_fair(owner(), tax_included=True), owner())
    form = pages.get(at("index")).context["form"]
    assert form["tax_said"].value() is True
    text = words(printed(pages, at("index"), {f"w{ware.pk}": 1}, tax_said="on"))
    assert "tax included" in text


def test_ware_that_is_not_for_food_says_so(pages: Client) -> None:
    """On every tag of it."""
    ware = priced("Candlestick", "matt white", food_contact="not_for_food")
    assert "Not for food use" in words(printed(pages, at("index"), {f"w{ware.pk}": 1}))


def test_a_letter_that_cannot_be_printed_is_told(pages: Client) -> None:
    """A name in a script that the typeface has not is named, letter by letter."""
    ware = priced("湯呑", "celadon", code="YUN")
    answer = pages.post(at("index"), filled({f"w{ware.pk}": 1}))
    assert "the typeface has no 湯 呑" in answer.content.decode()
