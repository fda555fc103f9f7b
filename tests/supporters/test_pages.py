"""The promises' pages: what they show, whom they let in, and sending a form twice."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import OwnerFactory, UserFactory, WareFactory, shelf, stall, stocked
from tests.supporters.makers import TODAY, at, kept, keyed, promised
from vendor.house.models import User
from vendor.supporters import queries
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


def url(name: str, promise: Commitment) -> str:
    """Return the address of a promise's page or act."""
    return reverse(f"supporters:{name}", args=[promise.number])


def test_an_empty_house_says_what_to_do_first(desk: Client) -> None:
    """No promise yet."""
    assert "Nothing is owed" in desk.get(reverse("supporters:index")).content.decode()
    assert "No supporters yet" in desk.get(reverse("supporters:supporters")).content.decode()


def test_one_tap_holds_a_piece_and_a_second_tap_changes_nothing(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The button on the list, sent twice."""
    promise = promised(ines, tumbler, owner)
    shown = desk.get(reverse("supporters:index")).content.decode()
    assert "Hold one" in shown
    form = keyed(back=reverse("supporters:index"), place=shelf().pk)
    for _ in range(2):
        assert desk.post(url("keep", promise), form).status_code == 302
        assert at(shelf(), tumbler) == (2, 1)
    assert "Hold one" not in desk.get(reverse("supporters:index")).content.decode()


def test_a_refusal_is_told_on_the_page_that_asked(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """No free piece: the sentence stands on the list, and nothing changed."""
    promise = promised(ines, WareFactory(), owner)
    form = keyed(back=reverse("supporters:index"))
    shown = desk.post(url("keep", promise), form, follow=True).content.decode()
    assert "No free piece of" in shown
    assert desk.post(url("keep", promise), {"key": "made up"}).status_code == 409


@pytest.mark.parametrize("back", ["made-up", "//elsewhere.example/", "https://elsewhere.example/"])
def test_a_form_leads_back_to_an_address_of_the_house_only(
    back: str, desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Whatever else it names is passed over; the act itself is done."""
    answer = desk.post(url("keep", promised(ines, tumbler, owner)), keyed(back=back))
    assert (answer.status_code, answer.url) == (302, reverse("supporters:index"))  # type: ignore[attr-defined]


@pytest.mark.parametrize("named", ["abc", "²", "9" * 30, "-1"])
def test_a_piece_that_is_no_number_is_not_there(
    named: str, desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Not found, and nothing held."""
    promise = promised(ines, tumbler, owner)
    for field in ("ware", "place"):
        assert desk.post(url("keep", promise), keyed(**{field: named})).status_code == 404
    assert at(shelf(), tumbler) == (2, 0)


@pytest.mark.parametrize(
    ("name", "more", "state"),
    [
        ("release", {"reason": "A chip"}, State.OWED),
        ("cancel", {"reason": "Moved away"}, State.CANCELLED),
        ("send", {"carrier": "By boat", "tracking": "B 12", "cost": "8.50"}, State.SENT),
        ("hand_over", {}, State.HANDED_OVER),
        ("move", {}, State.HELD),
    ],
)
def test_a_form_of_a_held_promise_sent_twice_is_done_once(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User, name: str, more: Any, state: str
) -> None:
    """The history gets one line, whatever the network repeats."""
    promise = kept(promised(ines, tumbler, owner), owner)
    form = keyed(**more, to=stall().pk)
    for _ in range(2):
        assert desk.post(url(name, promise), form).status_code == 302
    promise.refresh_from_db()
    assert promise.state == state
    assert promise.steps.count() == 3


def test_what_ended_can_be_undone_on_its_page(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """A sending taken back, a cancelled promise owed again."""
    promise = kept(promised(ines, tumbler, owner), owner)
    desk.post(url("send", promise), keyed(cost="8.50"))
    assert "$8.50" in desk.get(url("promise", promise)).content.decode()
    desk.post(url("take_back", promise), keyed(reason="It came back"))
    desk.post(url("cancel", promise), keyed(reason="Moved away"))
    desk.post(url("reopen", promise), keyed(reason="Moved back"))
    promise.refresh_from_db()
    assert promise.state == State.OWED
    assert at(shelf(), tumbler) == (2, 0)


def test_postage_that_cannot_be_read_sends_nothing(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The sentence says how to write it."""
    promise = kept(promised(ines, tumbler, owner), owner)
    shown = desk.post(url("send", promise), keyed(cost="a lot"), follow=True).content.decode()
    assert "can&#x27;t be read as an amount" in shown
    promise.refresh_from_db()
    assert promise.state == State.HELD


def test_a_promise_is_written_down_once_by_its_form(
    desk: Client, ines: Supporter, tumbler: Ware
) -> None:
    """Sent twice, it is one promise."""
    form = keyed(supporter=ines.pk, ware=tumbler.pk, choices="Two hares", due_on="2026-12-20")
    for _ in range(2):
        assert desk.post(reverse("supporters:new"), form).status_code == 302
    promise = Commitment.objects.get()
    assert (promise.choices, promise.due_on) == ("Two hares", datetime.date(2026, 12, 20))


def test_a_supporter_is_written_down_once_and_changed(desk: Client) -> None:
    """The same form again is no second supporter, nor a complaint about its own e-mail."""
    form = keyed(name="Bram Osterly", email="bram@example.org", address="1 Quay")
    for _ in range(2):
        assert desk.post(reverse("supporters:new_supporter"), form).status_code == 302
    bram = Supporter.objects.get()
    edit = reverse("supporters:edit_supporter", args=[bram.pk])
    assert desk.post(edit, {**form, "name": "Bram O."}).status_code == 302
    assert "Bram O." in desk.get(reverse("supporters:supporter", args=[bram.pk])).content.decode()


def test_the_promises_are_sorted_by_what_is_to_be_done(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Overdue first, then what is due within two weeks, then the rest."""
    days = {"late": -1, "soon": 14, "later": 15}
    made = {
        name: promised(ines, tumbler, owner, due_on=TODAY + datetime.timedelta(days=day))
        for name, day in days.items()
    }
    made["held"] = kept(promised(ines, tumbler, owner), owner)
    page = queries.overview(TODAY)
    assert [row.commitment for row in page.overdue] == [made["late"]]
    assert [row.commitment for row in page.soon] == [made["soon"]]
    assert [row.commitment for row in page.owed] == [made["later"]]
    assert [row.commitment for row in page.held] == [made["held"]]


def test_the_lists_ask_a_fixed_number_of_times(
    ines: Supporter, tumbler: Ware, owner: User, django_assert_num_queries: Any
) -> None:
    """However many promises there are."""
    for _ in range(3):
        promised(ines, tumbler, owner)
    kept(Commitment.objects.first(), owner)
    with django_assert_num_queries(2):
        page = queries.overview(TODAY)
        assert [row.commitment.piece_name for row in page.rows]
    with django_assert_num_queries(10):
        assert queries.supporters(TODAY)[0].open == 3
    with django_assert_num_queries(1):
        assert [each.hold.place.name for each in queries.held_pieces() if each.hold]


def test_seconds_are_offered_only_to_a_promise_that_allows_them(
    ines: Supporter, owner: User
) -> None:
    """Neither on the list nor on the promise's page."""
    ware = WareFactory()
    stocked(ware, 1, who=owner, grade="second")
    strict = promised(ines, ware, owner)
    relaxed = promised(ines, ware, owner, seconds_allowed=True)
    assert queries.offers_for(strict) == []
    assert [offer.grade for offer in queries.offers_for(relaxed)] == ["second"]
    assert [bool(row.offer) for row in queries.overview(TODAY).rows] == [False, True]


def test_near_pieces_come_after_the_exact_one(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """Another finish of the same form is suggested; another form is not."""
    near = WareFactory(form=tumbler.form)
    for ware in (near, WareFactory()):
        stocked(ware, 1, who=owner)
    offers = queries.offers_for(promised(ines, tumbler, owner))
    assert [(offer.ware, offer.exact) for offer in offers] == [(tumbler, True), (near, False)]


def test_a_helper_sees_first_names_on_held_pieces_and_nothing_more(
    client: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """No surname, no address, no other page of the promises."""
    promise = kept(promised(ines, tumbler, owner, choices="For the Quill wedding"), owner)
    client.force_login(UserFactory())
    shown = client.get(reverse("supporters:held")).content.decode()
    assert "Ines" in shown
    for secret in ("Quill", "Salt Lane", "example.org"):
        assert secret not in shown
    for address in (
        reverse("supporters:index"),
        reverse("supporters:supporters"),
        reverse("supporters:supporter", args=[ines.pk]),
        url("promise", promise),
    ):
        assert client.get(address).status_code == 403
    assert client.post(url("send", promise), keyed()).status_code == 403


def test_a_helper_hands_a_held_piece_over(
    client: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """At the stall, by first name."""
    promise = kept(promised(ines, tumbler, owner), owner)
    client.force_login(UserFactory())
    form = keyed(back=reverse("supporters:held"))
    for _ in range(2):
        client.post(url("hand_over", promise), form)
    promise.refresh_from_db()
    assert promise.state == State.HANDED_OVER


def test_the_pages_are_the_owners(ines: Supporter) -> None:
    """A second owner sees them too; a stranger logs in first."""
    other = Client()
    assert other.get(reverse("supporters:index")).status_code == 302
    other.force_login(OwnerFactory())
    assert other.get(reverse("supporters:index")).status_code == 200
