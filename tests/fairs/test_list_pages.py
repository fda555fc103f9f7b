"""The pages of packing lists, the van, and what comes home."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import PriceFactory, UserFactory, WareFactory, stocked
from tests.fairs.makers import LOADED_AT, a_fair, at, on_the_stall, packed, weekends_of
from vendor.fairs import actions
from vendor.fairs.actions import Packed
from vendor.fairs.models import PackingList, Weekend
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def potter(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def weekend(owner: User) -> Weekend:
    return weekends_of(a_fair(owner), owner)[0]


@pytest.fixture
def tumbler(owner: User, weekend: Weekend) -> Ware:
    """Ten on the shelf, at 34.00."""
    ware = PriceFactory(tier=weekend.fair.tier).ware
    stocked(ware, 10, who=owner)
    return ware


def filled(ware: Ware, quantity: object, **more: object) -> dict[str, object]:
    return {f"pick{ware.pk}-first-quantity": quantity, f"pick{ware.pk}-first-was": 0, **more}


def begun(potter: Client, weekend: Weekend) -> PackingList:
    potter.post(reverse("fairs:start_list", args=[weekend.pk]), {"key": "k"})
    return PackingList.objects.get()


def test_a_list_is_begun_once_by_its_key(potter: Client, weekend: Weekend) -> None:
    """The back button and a second tap lead to the same list."""
    first = begun(potter, weekend)
    assert begun(potter, weekend) == first


def test_pieces_are_picked_from_the_shelf_into_a_tote(
    potter: Client, weekend: Weekend, tumbler: Ware
) -> None:
    """Found by name or code; the page shows what is free; sent twice it adds nothing twice."""
    made = begun(potter, weekend)
    address = reverse("fairs:packing_list", args=[made.pk])
    shown = potter.get(address, {"q": tumbler.code.lower()}).content.decode()
    assert "10 free" in shown
    assert "Nothing free has" in potter.get(address, {"q": "ünknown"}).content.decode()
    told = filled(tumbler, 4, tote="blue lid")
    potter.post(reverse("fairs:pick", args=[made.pk]), told)
    again = potter.post(reverse("fairs:pick", args=[made.pk]), told)
    assert again.status_code == 409
    assert "by now" in again.content.decode()
    assert [(line.tote, line.quantity) for line in made.lines.all()] == [("blue lid", 4)]


def test_more_than_is_free_is_refused_and_what_was_typed_stays(
    potter: Client, weekend: Weekend, tumbler: Ware
) -> None:
    """The number stands in its field, with the sentence beside it."""
    made = begun(potter, weekend)
    answer = potter.post(reverse("fairs:pick", args=[made.pk]), filled(tumbler, 11, tote="A"))
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert "11 wanted, 10 free" in shown
    assert 'value="11"' in shown
    assert 'value="A"' in shown
    assert not made.lines.exists()


@pytest.mark.parametrize("typed", ["-1", "4.5", "abc", "5001", "１２" * 9])
def test_what_is_no_number_of_pieces_is_refused(
    potter: Client, weekend: Weekend, tumbler: Ware, typed: str
) -> None:
    """Nothing is put on the list."""
    made = begun(potter, weekend)
    answer = potter.post(reverse("fairs:pick", args=[made.pk]), filled(tumbler, typed))
    assert answer.status_code == 409
    assert not made.lines.exists()


def test_lines_are_changed_in_place_and_totes_added_up(
    potter: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Two lines that come into one tote become one."""
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3)], owner)
    told = {}
    for line in made.lines.all():
        told |= {f"line{line.pk}-quantity": line.quantity, f"line{line.pk}-tote": " B "}
    potter.post(reverse("fairs:change_lines", args=[made.pk]), told)
    assert [(line.tote, line.quantity) for line in made.lines.all()] == [("B", 7)]


def test_loading_takes_the_lines_as_they_are_filled_in(
    potter: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """A number changed and not saved is not lost; sent twice it moves once."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    line = made.lines.get()
    told = {f"line{line.pk}-quantity": 6, f"line{line.pk}-tote": "", "filled": 1, "key": "load"}
    for _ in range(2):
        potter.post(reverse("fairs:load", args=[made.pk]), told)
    assert at(weekend.fair.stall, tumbler) == 6
    shown = potter.get(reverse("fairs:packing_list", args=[made.pk])).content.decode()
    assert "In the van" in shown
    assert "$204.00" in shown


def test_a_loading_is_undone_with_a_reason(
    potter: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Without one it stays; with one everything is on the shelf again."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    address = reverse("fairs:unload", args=[made.pk])
    assert (
        "say why" in potter.post(address, {"key": "u", "reason": ""}, follow=True).content.decode()
    )
    assert at(weekend.fair.stall, tumbler) == 4
    potter.post(address, {"key": "u", "reason": "wrong fair"})
    assert at(weekend.fair.stall, tumbler) == 0


def test_pieces_are_brought_home_once(potter: Client, weekend: Weekend, owner: User) -> None:
    """The same form sent twice moves once."""
    ware = WareFactory()
    on_the_stall(weekend, ware, 5, owner)
    address = reverse("fairs:bring_home", args=[weekend.fair_id])
    key = re.search(r'name="key" value="(\w+)"', potter.get(address).content.decode())
    assert key
    for _ in range(2):
        potter.post(address, {f"home{ware.pk}-first-quantity": 3, "key": key[1]})
    assert at(weekend.fair.stall, ware) == 2
    assert "3 pieces" in potter.get(address).content.decode()


def test_the_list_is_printed_by_tote(
    potter: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """As a page and as a PDF, with its totals."""
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3)], owner)
    shown = potter.get(reverse("fairs:packing_print", args=[made.pk])).content.decode()
    assert "Tote A" in shown
    assert "7 pieces, worth $238.00" in shown
    answer = potter.get(reverse("fairs:packing_pdf", args=[made.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


OWNERS = ("new_fair", "edit_fair", "fair", "weekend")


def test_a_helper_packs_but_plans_nothing(client: Client, weekend: Weekend) -> None:
    """The server refuses, whatever the page shows."""
    client.force_login(UserFactory())
    assert client.get(reverse("fairs:index")).status_code == 200
    made = begun(client, weekend)
    assert client.get(reverse("fairs:packing_list", args=[made.pk])).status_code == 200
    for name in OWNERS:
        pk = weekend.pk if name == "weekend" else weekend.fair_id
        args = [] if name == "new_fair" else [pk]
        assert client.get(reverse(f"fairs:{name}", args=args)).status_code == 403
    assert client.post(reverse("fairs:drop_weekend", args=[weekend.pk])).status_code == 403


def test_strangers_are_asked_to_log_in(client: Client, weekend: Weekend) -> None:
    """Nothing of packing is public."""
    answer = client.get(reverse("fairs:index"))
    assert answer.status_code == 302
    assert answer.url.startswith("/login/")


def test_lists_are_listed_and_taken_away(
    potter: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """All lists with their pieces, and one list's lines, as files for a spreadsheet."""
    assert "No packing list yet" in potter.get(reverse("fairs:lists")).content.decode()
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="=A")], owner)
    shown = potter.get(reverse("fairs:lists"), {"state": "still to load"}).content.decode()
    assert "still to load" in shown
    assert "Nov 21\u2009–\u200922, 2026" in shown
    file = potter.get(reverse("fairs:packing_file", args=[made.pk, "csv"])).content.decode()
    assert f"'=A,{tumbler.name}" in file.replace('"', "")
    assert potter.get(reverse("fairs:packing_file", args=[made.pk, "xlsx"])).content[:2] == b"PK"
    assert potter.get(reverse("fairs:packing_file", args=[made.pk, "pdf"])).status_code == 404


def test_a_helper_sees_no_link_that_is_closed_to_them(client: Client, weekend: Weekend) -> None:
    """Fairs are the owner's: the first page of packing does not lead there."""
    client.force_login(UserFactory())
    shown = client.get(reverse("fairs:index")).content.decode()
    assert f'href="{reverse("fairs:fair", args=[weekend.fair_id])}"' not in shown
