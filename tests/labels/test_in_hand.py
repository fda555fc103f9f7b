"""A pot in the hand: its tag's code leads to what it is, and to whether the tag is true."""

import pytest
from django.test import Client

from tests.factories import PriceFactory, TierFactory, shelf, stocked
from tests.fairs.makers import a_fair, weekends_of
from tests.labels.shop import NOON, at, filled, owner, priced, seconds
from tests.labels.test_pages import statements
from tests.labels.test_state import raise_price, tag_all
from vendor.labels import actions
from vendor.ware.models import Grade, Price

pytestmark = pytest.mark.django_db


def looked_up(pages: Client, code: str) -> str:
    """Return the page that a code leads to."""
    answer = pages.get(at("in_hand"), {"code": code})
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_code_under_the_bars_leads_to_the_piece_and_its_price(pages: Client) -> None:
    """What its tag should say now, how many stand and where, and a tag anew in one tap."""
    ware = priced()
    stocked(ware, 6)
    tag_all(pages, ware, 6)
    raise_price(ware, 3700)
    page = looked_up(pages, " tum-cel ")
    assert "<h1>Tumbler, celadon</h1>" in page
    assert "$37.00" in page
    assert "<dt>With a wrong price</dt><dd>6</dd>" in page
    assert f"{shelf()} 6" in page
    assert f'href="{at("index")}?piece=w{ware.pk}"' in page
    form = pages.get(f"{at('index')}?piece=w{ware.pk}").context["form"]
    assert [(pick.ware, pick.suggested) for pick in form.picks] == [(ware, 1)]


def test_a_second_has_the_price_of_seconds(pages: Client) -> None:
    """Seven tenths of 34 dollars, half up; its code ends in a hyphen."""
    seconds()
    ware = priced()
    stocked(ware, 2, grade=Grade.SECOND)
    page = looked_up(pages, "TUM-CEL-")
    assert "<h1>Tumbler, celadon, second</h1>" in page
    assert "$24.00" in page
    form = pages.get(f"{at('index')}?piece=w{ware.pk}s").context["form"]
    assert [pick.name for pick in form.picks if pick.suggested] == ["Tumbler, celadon, second"]


def test_an_article_number_leads_there_too(pages: Client) -> None:
    """Of twelve digits or of thirteen, as readers give it."""
    ware = priced()
    given = {(ware.pk, Grade.FIRST.value): "416000336108"}
    actions.give_numbers(numbers=given, who=owner(), now=NOON)
    for code in ("416000336108", "0416000336108"):
        assert "<h1>Tumbler, celadon</h1>" in looked_up(pages, code)


def test_the_fairs_own_list_says_the_price(pages: Client) -> None:
    """As the page of tags would print it for the coming weekend."""
    ware = priced()
    fair = a_fair(owner())
    weekends_of(fair, owner())
    fair.tier = TierFactory(name="Oxmere prices", is_base=False)
    fair.save()
    PriceFactory(ware=ware, tier=fair.tier, amount=4100)
    page = looked_up(pages, ware.code)
    assert "(Oxmere prices)" in page
    assert "$41.00" in page


def test_a_code_of_no_tag_is_told_and_kept(pages: Client) -> None:
    """Also what could never be a code; an empty page asks for one."""
    priced()
    for code in ("TUM", "<b>", "x" * 500, "٣٤"):
        page = looked_up(pages, code)
        assert "No tag says" in page
        assert "<b>”" not in page
    assert "No tag says" not in looked_up(pages, "  ")


def test_ware_without_a_price_or_a_piece_is_shown(pages: Client) -> None:
    """Found in a corner, of a ware that nobody has priced."""
    ware = priced()
    Price.objects.all().delete()
    page = looked_up(pages, ware.code)
    assert "no price yet" in page
    assert "enter it as found" in page
    assert pages.get(f"{at('index')}?piece=nonsense").status_code == 200


def test_the_page_takes_as_many_statements_for_much_as_for_little(pages: Client) -> None:
    """However much ware there is."""
    stocked(ware := priced(), 3)
    looked_up(pages, ware.code)  # the first page of all asks more
    few = statements(pages, f"{at('in_hand')}?code={ware.code}")
    for number in range(20):
        stocked(priced(f"Form {number}", f"glaze {number}", code=f"C{number}"), 3)
    pages.post(at("index"), filled({f"w{ware.pk}": 3}))
    assert statements(pages, f"{at('in_hand')}?code={ware.code}") == few <= 25
