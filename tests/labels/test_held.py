"""Held pieces get reward tags, never price tags."""

from typing import Any

import pytest
from django.test import Client

from tests.factories import NOW, shelf, stocked
from tests.firings.kiln import fired, unloaded
from tests.labels.reading import words
from tests.labels.shop import at, filled, owner, priced
from vendor.labels import actions
from vendor.labels.held import HeldPieces, Stock
from vendor.labels.job import Item, Job
from vendor.labels.models import LabelPrinter, LabelSheet, PrintRun
from vendor.ledger.holds import hold
from vendor.ledger.models import Hold
from vendor.ware.models import PriceTier, Ware

pytestmark = pytest.mark.django_db


def set_aside(ware: Ware, quantity: int, label: str = "Promise 12") -> Hold:
    """Hold pieces on the shelf for a promise."""
    return hold(
        key=label, ware_id=ware.pk, at=shelf(), quantity=quantity, label=label,
        purpose=Hold.Purpose.COMMITMENT, who=owner(), now=NOW,
    )  # fmt: skip


def nine_with_two_held() -> tuple[Ware, Hold]:
    """Nine tumblers on the shelf, two of them promised."""
    ware = priced()
    stocked(ware, 9)
    return ware, set_aside(ware, 2)


def page_of(pages: Client, counts: dict[str, object], address: str = "", **more: Any) -> str:
    """Send a page of tags that isn't printed; return it as it is shown."""
    answer = pages.post(address or at("index"), filled(counts, **more))
    assert answer.status_code == 200
    return answer.content.decode().replace("&#x27;", "’")


def test_seven_price_tags_are_the_most_of_nine_pieces_with_two_held(pages: Client) -> None:
    """Why, how many there may be, and what was typed, are on the page; nothing was printed."""
    ware, _ = nine_with_two_held()
    page = page_of(pages, {f"w{ware.pk}": 9})
    assert (
        "9 price tags are too many: 7 pieces are free, and 2 are held. What is held gets a reward "
        "tag, which says no price. Write 7 at most."
    ) in page
    assert 'value="9"' in page
    assert ">Print 7 price tags and 2 reward tags</button>" in page
    assert not PrintRun.objects.exists()
    assert pages.post(at("index"), filled({f"w{ware.pk}": 7})).status_code == 302


def test_one_tap_prints_price_tags_for_the_free_and_reward_tags_for_the_held(
    pages: Client,
) -> None:
    """Seven with the price, and two with the number of the promise."""
    ware, held = nine_with_two_held()
    answer = pages.post(at("index"), filled({f"w{ware.pk}": 9}, part="print"))
    assert answer.status_code == 302
    run = PrintRun.objects.get()
    assert [(tag.quantity, tag.price, tag.hold) for tag in run.tags.all()] == [
        (7, 3400, None),
        (2, None, held),
    ]
    text = words(pages.get(at("run_pdf", run.pk)).content)
    assert (text.count("$34.00"), text.count("for Promise 12")) == (7, 2)


def test_what_was_typed_for_a_promise_stays_when_tags_are_parted(pages: Client) -> None:
    """One reward tag is there already; the other promise gets the rest of its own."""
    ware = priced()
    stocked(ware, 9)
    first, second = set_aside(ware, 1, "Promise 1"), set_aside(ware, 2, "Promise 2")
    said = {f"w{ware.pk}": 8, f"h{first.pk}": 3}
    assert ">Print 6 price tags and 5 reward tags</button>" in page_of(pages, said)
    pages.post(at("index"), filled(said, part="print"))
    tags = PrintRun.objects.get().tags
    assert {(tag.quantity, tag.hold) for tag in tags.all()} == {(6, None), (3, first), (2, second)}


def test_looking_it_over_is_parted_too_and_prints_nothing(pages: Client) -> None:
    """The button does what was asked for: a look."""
    ware, _ = nine_with_two_held()
    page = page_of(pages, {f"w{ware.pk}": 9}, preview=1)
    assert 'name="part" value="preview"' in page
    page = page_of(pages, {f"w{ware.pk}": 9}, part="preview")
    assert "9 tags on 1 page" in page
    assert not PrintRun.objects.exists()


def test_where_nothing_is_held_any_number_is_printed(pages: Client) -> None:
    """Spare tags, and tags of ware that isn't in the book yet; another's hold is no matter."""
    ware, _ = nine_with_two_held()
    stocked(other := priced("Berry bowl", "ash"), 2)
    new = priced("Salt pig", "shino")
    counts: dict[str, object] = {f"w{other.pk}": 30, f"w{new.pk}": 12, f"w{ware.pk}": 7}
    assert pages.post(at("index"), filled(counts)).status_code == 302


def test_pieces_in_the_kiln_may_be_tagged_before_they_are_unloaded(pages: Client) -> None:
    """Seven free and four in the kiln; once it is unloaded, those are free or not like all."""
    ware, _ = nine_with_two_held()
    firing = fired((ware, 4))
    page = page_of(pages, {f"w{ware.pk}": 12})
    assert "7 pieces are free and 4 more in the kiln, and 2 are held" in page
    assert pages.post(at("index"), filled({f"w{ware.pk}": 11})).status_code == 302
    unloaded(firing)
    set_aside(ware, 4, "Promise 13")
    page = page_of(pages, {f"w{ware.pk}": 8}, key="page-2")
    assert "7 pieces are free, and 6 are held" in page


def test_a_thumb_stops_at_the_free_pieces(pages: Client) -> None:
    """The field's own end; beside it stands what is free and what is held."""
    ware, held = nine_with_two_held()
    form = pages.get(at("index")).context["form"]
    assert form.fields[f"w{ware.pk}"].widget.attrs["max"] == 7
    assert "7 free, 2 held" in pages.get(at("index")).content.decode()
    form = pages.get(f"{at('index')}?kind=reward").context["form"]
    assert form.fields[f"h{held.pk}"].widget.attrs["max"] == 10_000


@pytest.mark.parametrize("kind", ["hang", "fold"])
def test_every_kind_that_stays_with_a_piece_is_held_to_it(pages: Client, kind: str) -> None:
    """A shelf talker stays with its basket, and a reward tag says no price."""
    ware, held = nine_with_two_held()
    assert "Write 7 at most" in page_of(pages, {f"w{ware.pk}": 9}, f"{at('index')}?kind={kind}")
    talkers = pages.post(f"{at('index')}?kind=talker", filled({f"w{ware.pk}": 9}))
    rewards = filled({f"h{held.pk}": 9}, key="page-2")
    assert talkers.status_code == 302
    assert pages.post(f"{at('index')}?kind=reward", rewards).status_code == 302


def test_a_hold_that_came_meanwhile_is_seen_when_it_is_printed() -> None:
    """The act itself looks, in its own turn, whatever the page had found."""
    ware, _ = nine_with_two_held()
    tier = PriceTier.objects.get(is_base=True)
    job = Job(
        kind="sticker", symbol="code128", sheet=LabelSheet.objects.all()[0],
        printer=LabelPrinter.objects.all()[0],
        items=[Item(4, ware, price=3400, tier_id=tier.pk)] * 2,
    )  # fmt: skip
    with pytest.raises(HeldPieces, match=r"Nothing was printed. Tumbler, celadon: 8 price tags"):
        actions.print_tags(key="k", job=job, who=owner(), now=NOW)
    assert not PrintRun.objects.exists()


@pytest.mark.parametrize(
    ("stock", "most"),
    [
        (Stock(), None),
        (Stock(free=5), None),
        (Stock(free=5, held=1), 5),
        (Stock(held=3), 0),
        (Stock(free=1, held=3, in_kiln=6), 7),
    ],
)
def test_the_most_is_what_is_free_or_in_the_kiln_where_some_are_held(
    stock: Stock, most: int | None
) -> None:
    """And no more; where none is held, there is no end."""
    assert stock.most == most
    if most is None:
        assert stock.fault(10_000) is None
    else:
        assert stock.fault(most) is None
        assert str(stock.fault(most + 1)).endswith(f"Write {most} at most.")
