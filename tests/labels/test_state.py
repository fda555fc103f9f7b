"""What the pieces' tags say: out of date after a price change, and where the pieces are."""

import datetime
from typing import Any

import pytest
from django.test import Client

from tests.factories import NOW, OwnerFactory, PriceFactory, StudioFactory, shelf, stall, stocked
from tests.labels.shop import at, filled, owner, priced
from vendor.house.studio import the_studio
from vendor.labels import actions, queries
from vendor.labels.models import PrintRun
from vendor.ledger import actions as ledger
from vendor.ledger.holds import hold
from vendor.ledger.models import Hold
from vendor.ware.models import Price, Ware

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 12, 2)


def tag_all(pages: Client, ware: Ware, count: int, key: str = "page-1", **more: Any) -> PrintRun:
    """Print so many tags of a ware through the page."""
    pages.post(at("index"), filled({f"w{ware.pk}": count}, key=key, **more))
    return PrintRun.objects.get(key=key)


def raise_price(ware: Ware, amount: int) -> None:
    """Ask more for a ware from today on."""
    PriceFactory(ware=ware, amount=amount, from_date=TODAY)


def outdated() -> int:
    return queries.tags_out_of_date(on=TODAY, studio=the_studio())


def test_a_new_price_puts_tags_out_of_date_and_new_tags_put_it_right(pages: Client) -> None:
    """Three dollars more: each piece carries a wrong tag until it has a new one."""
    ware = priced()
    stocked(ware, 6)
    tag_all(pages, ware, 6)
    assert outdated() == 0
    raise_price(ware, 3700)
    assert outdated() == 6
    form = pages.get(f"{at('index')}?from=changed").context["form"]
    assert [(pick.ware, pick.suggested) for pick in form.picks] == [(ware, 6)]
    tag_all(pages, ware, 4, key="page-2")
    assert outdated() == 2


def test_the_page_says_how_many_and_where_the_pieces_are(pages: Client) -> None:
    """Four on the shelf, two at the stall."""
    ware = priced()
    stocked(ware, 6)
    tag_all(pages, ware, 6)
    ledger.move(
        key="van", lines=[ledger.Line(ware.pk, 2)], source=shelf(), target=stall(),
        who=owner(), now=NOW + datetime.timedelta(hours=9),
    )  # fmt: skip
    raise_price(ware, 3700)
    assert "6 tags out of date" in pages.get(at("index")).content.decode()
    listed = pages.get(at("state")).content.decode()
    assert "Studio shelf 4, Stall at Oxmere Mill 2" in listed


def test_a_run_that_was_never_printed_counts_no_more(pages: Client) -> None:
    """Struck, its tags are on no piece; restored, they are again."""
    ware = priced()
    stocked(ware, 3)
    run = tag_all(pages, ware, 3)
    pages.post(at("strike", run.pk))
    run.refresh_from_db()
    assert run.struck_by == owner()
    assert [state.to_tag for state in states()] == [3]
    pages.post(at("strike", run.pk), {"restore": "1"})
    assert [state.to_tag for state in states()] == [0]


def states() -> list[queries.TagState]:
    return queries.tag_states(on=TODAY, studio=the_studio())


def test_a_price_that_is_gone_makes_its_tags_wrong(pages: Client) -> None:
    """No price is no true tag."""
    ware = priced()
    stocked(ware, 2)
    tag_all(pages, ware, 2)
    Price.objects.all().delete()
    assert outdated() == 2


def test_held_pieces_need_no_price_tag(pages: Client) -> None:
    """Of five without a tag, two are promised: three are to be tagged."""
    ware = priced()
    stocked(ware, 5)
    hold(
        key="h", ware_id=ware.pk, at=shelf(), quantity=2, purpose=Hold.Purpose.COMMITMENT,
        label="Promise 1", who=owner(), now=NOW,
    )  # fmt: skip
    assert [state.to_tag for state in states()] == [3]
    form = pages.get(f"{at('index')}?from=untrue").context["form"]
    assert [pick.suggested for pick in form.picks] == [3]


def test_a_held_piece_gets_no_new_price_tag_after_a_price_change(pages: Client) -> None:
    """Of five with a wrong price, two are promised: three are tagged anew, five are told."""
    ware = priced()
    stocked(ware, 5)
    tag_all(pages, ware, 5)
    raise_price(ware, 3700)
    hold(
        key="h", ware_id=ware.pk, at=shelf(), quantity=2, purpose=Hold.Purpose.COMMITMENT,
        label="Promise 1", who=owner(), now=NOW,
    )  # fmt: skip
    [state] = states()
    assert (state.outdated, state.to_tag) == (5, 3)
    for begun_from in ("changed", "untrue"):
        form = pages.get(f"{at('index')}?from={begun_from}").context["form"]
        assert [pick.suggested for pick in form.picks] == [3]


@pytest.mark.parametrize(
    ("untagged", "outdated", "held", "to_tag"),
    [(5, 0, 0, 5), (2, 3, 2, 3), (1, 4, 3, 2), (0, 2, 1, 2), (0, 5, 5, 0), (4, 0, 5, 0)],
)
def test_pieces_to_tag_are_free_ones(untagged: int, outdated: int, held: int, to_tag: int) -> None:
    """Of five; held ones are taken to be those without a tag first."""
    state = queries.TagState(Ware(), "first", 5, held, untagged, outdated, "")
    assert state.to_tag == to_tag <= state.on_hand - held


def test_a_shelf_talker_tags_no_piece(pages: Client) -> None:
    """The card stands at the basket; the jars in it stay without a tag of their own."""
    ware = priced("Thimble jar", "shino", 800)
    stocked(ware, 5)
    answer = pages.post(
        f"{at('index')}?kind=talker",
        filled({f"w{ware.pk}": 1}, offer_count=3, offer_price="21"),
    )
    assert answer.status_code == 302
    assert [state.to_tag for state in states()] == [5]


def test_the_states_take_as_many_statements_for_much_ware_as_for_little(
    django_assert_num_queries: Any,
) -> None:
    """Six for the states of everything, however much stands and was printed."""
    studio = StudioFactory()
    who = OwnerFactory()
    for number in range(12):
        stocked(priced(f"Form {number}", f"glaze {number}", code=f"C{number}"), 3, who=who)
    with django_assert_num_queries(6):
        assert len(queries.tag_states(on=TODAY, studio=studio)) == 12


def test_a_tags_code_leads_to_the_ware_and_the_grade() -> None:
    """A second's ends in a hyphen; an article number of twelve digits reads as one of thirteen."""
    ware = priced()
    actions.give_numbers(numbers={(ware.pk, "second"): "416000336108"}, who=owner(), now=NOW)
    assert queries.piece_by_tag("tum-cel") == (ware.pk, "first")
    assert queries.piece_by_tag(queries.code_on_tag(ware.code, "second")) == (ware.pk, "second")
    assert queries.piece_by_tag("416000336108") == (ware.pk, "second")
    assert queries.piece_by_tag("0416000336108") == (ware.pk, "second")
    assert queries.piece_by_tag("TUM") is None


def test_a_run_can_be_printed_again_from_another_label(pages: Client) -> None:
    """The PDF begins there; a label that isn't on the sheet is refused."""
    ware = priced()
    run = tag_all(pages, ware, 2)
    pages.post(at("again", run.pk), {"start": "29"})
    run.refresh_from_db()
    assert run.start == 29
    assert pages.post(at("again", run.pk), {"start": "99"}).status_code == 409
    assert "start at label 29" not in pages.get(at("run", run.pk)).content.decode()


def test_the_list_of_prints_finds_and_exports(pages: Client) -> None:
    """By the ware that was printed."""
    tag_all(pages, priced(), 2)
    assert "Stuck-on label" in pages.get(f"{at('runs')}?q=TUM").content.decode()
    assert pages.get(f"{at('runs')}?_export=csv").status_code == 200


def test_nothing_is_restored_that_was_not_struck(pages: Client) -> None:
    """Striking twice keeps the first moment."""
    run = tag_all(pages, priced(), 1)
    first = actions.strike_run(run=run, who=owner(), now=NOW).struck_at
    later = NOW + datetime.timedelta(days=1)
    assert actions.strike_run(run=run, who=owner(), now=later).struck_at == first
