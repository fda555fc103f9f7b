"""The page that says what to bring: what it shows, what can be asked, and the packing list."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, UserFactory
from tests.fairs.makers import weekends_of
from tests.restock.makers import Season
from vendor.fairs import actions as fairs
from vendor.fairs.models import PackingLine, PackingList
from vendor.ledger.models import Balance

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"
INDEX = "/restock/"


@pytest.fixture
def season(monkeypatch: pytest.MonkeyPatch) -> Season:
    """Three weekends; it is the Wednesday before the second."""
    made = Season()
    monkeypatch.setattr("vendor.house.clock.now", lambda: made.at(2, -3, 9))
    return made


@pytest.fixture
def pages(client: Client, season: Season) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(season.owner, backend=BACKEND)
    return client


def sold(season: Season) -> None:
    """Sell a ware out on the first Sunday at one, with three more on the shelf."""
    ware = season.ware(free=3)
    season.bring(ware, 9, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 8, season.at(1, 1, 13))


def hidden(page: str) -> dict[str, str]:
    """Return the hidden fields of the button's form."""
    names = re.findall(r'type="hidden" name="(key|lines)" value="([^"]*)"', page)
    return dict(names)


def text(response: object) -> str:
    """Return the page."""
    return response.content.decode()  # type: ignore[attr-defined, no-any-return]


def test_the_page_says_what_to_bring_and_why(pages: Client, season: Season) -> None:
    """Sold, free, expected, bring and short, with the sell-out's hour."""
    sold(season)
    page = text(pages.get(INDEX))
    assert "weekend 2: Nov 28\u2009–\u200929, 2026" in page
    assert "Sold out Sunday 1:00\u202fPM: 9 pieces gone in 10 of 14 open hours." in page
    assert "gone Sun 1:00\u202fPM" in page
    assert "Put 3 pieces on the packing list" in page
    assert "<b>3</b>" in page
    assert "3\u00a0free" in page


def test_the_button_puts_the_pieces_on_the_packing_list_once(pages: Client, season: Season) -> None:
    """Sent twice it says the same, and leads to the list."""
    sold(season)
    sent = hidden(text(pages.get(INDEX)))
    to = reverse("restock:bring", args=[season.weekends[1].pk])
    for _ in range(2):
        response = pages.post(to, sent)
        (packed,) = PackingList.objects.all()
        assert response["Location"] == reverse("fairs:packing_list", args=[packed.pk])
    assert packed.weekend == season.weekends[1]
    assert [line.quantity for line in PackingLine.objects.all()] == [3]
    page = text(pages.get(INDEX))
    assert "3 on the packing list: all that is advised" in page
    assert "See the packing list" in page
    assert "Put " not in page


def test_what_is_on_the_list_already_stays(pages: Client, season: Season) -> None:
    """Two in a tote: one more comes without a tote."""
    sold(season)
    (balance,) = Balance.objects.filter(on_hand=3)
    packed = fairs.start_list(
        key="mine", weekend=season.weekends[1], who=season.owner, now=season.at(2, -3, 8)
    )
    fairs.pack(
        packing_list=packed, lines=[fairs.Packed(balance.ware_id, 2, tote="A")],
        who=season.owner, now=season.at(2, -3, 8),
    )  # fmt: skip
    page = text(pages.get(INDEX))
    assert "Put 1 piece more on the packing list" in page
    pages.post(reverse("restock:bring", args=[season.weekends[1].pk]), hidden(page))
    assert sorted(packed.lines.values_list("tote", "quantity")) == [("", 1), ("A", 2)]


def test_pieces_that_have_gone_meanwhile_are_refused_in_words(
    pages: Client, season: Season
) -> None:
    """Two were held after the page was opened; nothing is packed."""
    sold(season)
    sent = hidden(text(pages.get(INDEX)))
    (balance,) = Balance.objects.filter(on_hand=3)
    for _ in range(2):
        season.hold(balance.ware, season.at(2, -3, 9), at=balance.place)
    response = pages.post(reverse("restock:bring", args=[season.weekends[1].pk]), sent, follow=True)
    assert "3 wanted, 1 free, 2 more held" in text(response)
    assert not PackingLine.objects.exists()


@pytest.mark.parametrize("lines", ["", "7", "999999x3", "axb", "{ware}x0", "{ware}x9999"])
def test_lines_that_are_not_of_the_page_are_refused(
    lines: str, pages: Client, season: Season
) -> None:
    """Nothing is packed, and the page is shown again."""
    ware = season.ware(free=3)
    sent = {"key": "k", "lines": lines.format(ware=ware.pk)}
    response = pages.post(reverse("restock:bring", args=[season.weekends[1].pk]), sent, follow=True)
    assert response.redirect_chain == [(INDEX, 302)]
    assert "Not done." in text(response)
    assert not PackingList.objects.exists()


def test_a_higher_level_asks_for_more(pages: Client, season: Season) -> None:
    """From the address, so that it can be kept and sent."""
    sold(season)

    def wanted(page: str) -> int:
        return int(re.findall(r"(\d+)\u00a0wanted", page)[0])

    assert wanted(text(pages.get(INDEX, {"level": 95}))) > wanted(text(pages.get(INDEX)))


def test_a_small_van_is_named_as_the_limit(pages: Client, season: Season) -> None:
    """Room for two pieces."""
    sold(season)
    page = text(pages.get(INDEX, {"room": 2}))
    assert "The van is the limit." in page
    assert "2 of 2 pieces." in page
    assert "no\u00a0room\u00a0for\u00a01" in page
    assert "Put 2 pieces on the packing list" in page
    assert "It fits." in text(pages.get(INDEX, {"room": 50, "unit": "totes"}))


@pytest.mark.parametrize(
    "asked", [{"level": "20"}, {"level": "100"}, {"level": "x"}, {"room": "-1"}, {"unit": "carts"}]
)
def test_what_cant_be_asked_is_said_and_the_usual_is_shown(
    asked: dict[str, str], pages: Client, season: Season
) -> None:
    """The list stands at the studio's own level."""
    sold(season)
    page = text(pages.get(INDEX, asked))
    assert "Not saved yet" not in page
    assert 'role="alert"' in page
    assert "Put 3 pieces on the packing list" in page


def test_a_list_is_narrowed_sorted_and_taken_away(pages: Client, season: Season) -> None:
    """What is short, and everything as a spreadsheet."""
    sold(season)
    quiet = season.ware(free=40)
    page = text(pages.get(INDEX, {"standing": "short", "sort": "-bring"}))
    assert quiet.name not in page
    assert "1–1 of 1 ware" in page
    taken = text(pages.get(INDEX, {"_export": "csv"}))
    assert taken.splitlines()[0].startswith(
        "\ufeffWare,Sold 1,On the stall,Free,Expect,Bring,Short"
    )
    assert len(taken.splitlines()) == 3


def test_the_nearest_fair_is_shown_unless_another_is_asked_for(
    pages: Client, season: Season
) -> None:
    """A second fair a year on, with nothing on its stall."""
    sold(season)
    other = fairs.open_fair(
        name="Spring fair", terms=fairs.terms_of(season.fair), who=season.owner, now=NOW
    )
    weekends_of(other, season.owner, 4)
    assert "Oxmere Mill Winter Fair, weekend 2" in text(pages.get(INDEX))
    page = text(pages.get(INDEX, {"fair": other.pk}))
    assert "Spring fair, weekend 2" in page
    assert "New here" in page


def test_without_a_weekend_ahead_it_says_what_to_do_first(
    pages: Client, season: Season, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The season is over, or none is planned."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: season.at(9, 0, 9))
    page = text(pages.get(INDEX))
    assert "No weekend ahead" in page
    assert reverse("fairs:index") in page


def test_without_ware_it_says_what_to_do_first(pages: Client, season: Season) -> None:
    """A weekend is planned, and nothing is made."""
    page = text(pages.get(INDEX))
    assert "Nothing to bring yet" in page
    assert "packing list" not in page


def test_a_helper_may_neither_look_nor_pack(client: Client, season: Season) -> None:
    """What sells and what it earns is the owner's."""
    client.force_login(UserFactory(), backend=BACKEND)
    assert client.get(INDEX).status_code == 403
    to = reverse("restock:bring", args=[season.weekends[1].pk])
    assert client.post(to, {"key": "k", "lines": "1x1"}).status_code == 403
    assert client.get(to).status_code == 403


def test_looking_at_the_button_does_nothing(pages: Client, season: Season) -> None:
    """Only sending does."""
    assert pages.get(reverse("restock:bring", args=[season.weekends[1].pk])).status_code == 405
