"""The pages of packing, as a potter and a helper use them."""

import datetime
import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, PriceFactory, TierFactory, UserFactory, WareFactory, stocked
from tests.fairs.makers import FIRST_DAY, LOADED_AT, a_fair, at, on_the_stall, packed, weekends_of
from vendor.fairs import actions
from vendor.fairs.actions import Packed
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(owner: User, client: Client) -> Client:
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


def fair_form(**more: object) -> dict[str, object]:
    return {
        "name": "Oxmere Mill Winter Fair", "tier": TierFactory().pk, "tax_rate": "7,25 %",
        "tax_included": "no", "tax_rounding": "receipt", "cash_step": "5", "note": "", **more,
    }  # fmt: skip


def test_without_a_fair_the_page_says_what_to_do_first(page: Client) -> None:
    """The empty page leads to the first fair."""
    stocked(WareFactory(), 1)
    answer = page.get(reverse("fairs:index"))
    assert "No fair yet" in answer.content.decode()
    assert reverse("fairs:new_fair") in answer.content.decode()


def test_a_fair_is_opened_with_its_rate_typed_as_a_percentage(page: Client) -> None:
    """7,25 % is 72,500 parts per million; the caution stands beside the rate."""
    stocked(WareFactory(), 1)
    shown = page.get(reverse("fairs:new_fair")).content.decode()
    assert "ask a qualified adviser" in shown
    answer = page.post(reverse("fairs:new_fair"), fair_form())
    fair = Fair.objects.get()
    assert answer.url == reverse("fairs:fair", args=[fair.pk])
    assert (fair.tax_rate_ppm, fair.cash_step, fair.tax_included) == (72_500, 5, False)


@pytest.mark.parametrize("rate", ["", "much", "-1", "101", "7.25.1", "七", "9" * 500])
def test_a_rate_that_is_none_keeps_what_was_typed(page: Client, rate: str) -> None:
    """Nothing is saved, and the form still holds it."""
    stocked(WareFactory(), 1)
    answer = page.post(reverse("fairs:new_fair"), fair_form(tax_rate=rate, note="by the mill"))
    assert answer.status_code == 200
    assert "by the mill" in answer.content.decode()
    assert not Fair.objects.exists()


def test_a_fair_is_changed(page: Client, weekend: Weekend) -> None:
    """Its form comes filled in, and what is changed is saved."""
    address = reverse("fairs:edit_fair", args=[weekend.fair_id])
    assert 'value="7.25"' in page.get(address).content.decode()
    page.post(address, fair_form(tax_rate="8", tax_included="yes"))
    weekend.fair.refresh_from_db()
    assert (weekend.fair.tax_rate_ppm, weekend.fair.tax_included) == (80_000, True)


def test_weekends_are_planned_on_the_fair_s_page(page: Client, owner: User) -> None:
    """Five weekends from a Saturday; sent twice they are planned once."""
    fair = a_fair(owner)
    told = {"first_day": "2026-11-21", "count": 5, "days": 2, "opens": "10:00", "closes": "17:00"}
    for _ in range(2):
        page.post(reverse("fairs:fair", args=[fair.pk]), told)
    assert fair.weekends.count() == 5
    shown = page.get(reverse("fairs:fair", args=[fair.pk])).content.decode()
    assert "19–20 December 2026" in shown
    assert "7.25%" in shown


@pytest.mark.parametrize(
    "wrong",
    [
        {"first_day": "31.31.2026"},
        {"count": "0"},
        {"count": "x"},
        {"closes": "09:00"},
        {"days": ""},
    ],
)
def test_a_plan_that_cannot_be_read_plans_nothing(
    page: Client, owner: User, wrong: dict[str, str]
) -> None:
    """Each is said beside its field."""
    fair = a_fair(owner)
    told = {"first_day": "2026-11-21", "count": 5, "days": 2, "opens": "10:00", "closes": "17:00"}
    answer = page.post(reverse("fairs:fair", args=[fair.pk]), told | wrong)
    assert "Not saved yet" in answer.content.decode()
    assert not fair.weekends.exists()


def weekend_form(*days: datetime.date, crowd: int = 100) -> dict[str, object]:
    told: dict[str, object] = {"crowd_percent": crowd}
    for index, day in enumerate(days):
        told |= {f"day{index}-day": day.isoformat(), f"day{index}-opens": "09:00",
                 f"day{index}-closes": "18:00"}  # fmt: skip
    return told


def test_a_weekend_gets_a_friday(page: Client, weekend: Weekend) -> None:
    """The empty row is for another day."""
    address = reverse("fairs:weekend", args=[weekend.pk])
    assert page.get(address).status_code == 200
    days = [FIRST_DAY + datetime.timedelta(days=n) for n in (0, 1, -1)]
    page.post(address, weekend_form(*days, crowd=150))
    weekend.refresh_from_db()
    assert (weekend.first_day, weekend.crowd_percent, weekend.days.count()) == (days[2], 150, 3)


def test_a_weekend_without_a_day_is_refused(page: Client, weekend: Weekend) -> None:
    """The page says so and keeps the days."""
    answer = page.post(reverse("fairs:weekend", args=[weekend.pk]), weekend_form())
    assert "at least one day" in answer.content.decode()
    assert weekend.days.count() == 2


def test_dropping_says_what_it_did(page: Client, weekend: Weekend) -> None:
    """A weekend with nothing in it goes; with a list it stays and the page says why."""
    other = weekend.fair.weekends.get(number=5)
    page.post(reverse("fairs:drop_weekend", args=[other.pk]))
    assert weekend.fair.weekends.count() == 4
    actions.start_list(key="l", weekend=weekend, who=User.objects.first(), now=NOW)  # type: ignore[arg-type]
    answer = page.post(reverse("fairs:drop_weekend", args=[weekend.pk]), follow=True)
    assert "so it stays" in answer.content.decode()


def begun(page: Client, weekend: Weekend) -> PackingList:
    page.post(reverse("fairs:start_list", args=[weekend.pk]), {"key": "k"})
    return PackingList.objects.get()


def test_a_list_is_begun_once_by_its_key(page: Client, weekend: Weekend) -> None:
    """The back button and a second tap lead to the same list."""
    first = begun(page, weekend)
    assert begun(page, weekend) == first


def test_pieces_are_picked_from_the_shelf_into_a_tote(
    page: Client, weekend: Weekend, tumbler: Ware
) -> None:
    """Found by name or code; the page shows what is free; sent twice it adds nothing twice."""
    made = begun(page, weekend)
    address = reverse("fairs:packing_list", args=[made.pk])
    shown = page.get(address, {"q": tumbler.code.lower()}).content.decode()
    assert "10 free" in shown
    assert "Nothing free has" in page.get(address, {"q": "ünknown"}).content.decode()
    told = filled(tumbler, 4, tote="blue lid")
    page.post(reverse("fairs:pick", args=[made.pk]), told)
    again = page.post(reverse("fairs:pick", args=[made.pk]), told)
    assert again.status_code == 409
    assert "by now" in again.content.decode()
    assert [(line.tote, line.quantity) for line in made.lines.all()] == [("blue lid", 4)]


def test_more_than_is_free_is_refused_and_what_was_typed_stays(
    page: Client, weekend: Weekend, tumbler: Ware
) -> None:
    """The number stands in its field, with the sentence beside it."""
    made = begun(page, weekend)
    answer = page.post(reverse("fairs:pick", args=[made.pk]), filled(tumbler, 11, tote="A"))
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert "11 wanted, 10 free" in shown
    assert 'value="11"' in shown
    assert 'value="A"' in shown
    assert not made.lines.exists()


@pytest.mark.parametrize("typed", ["-1", "4.5", "abc", "5001", "１２" * 9])
def test_what_is_no_number_of_pieces_is_refused(
    page: Client, weekend: Weekend, tumbler: Ware, typed: str
) -> None:
    """Nothing is put on the list."""
    made = begun(page, weekend)
    answer = page.post(reverse("fairs:pick", args=[made.pk]), filled(tumbler, typed))
    assert answer.status_code == 409
    assert not made.lines.exists()


def test_lines_are_changed_in_place_and_totes_added_up(
    page: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Two lines that come into one tote become one."""
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3)], owner)
    told = {}
    for line in made.lines.all():
        told |= {f"line{line.pk}-quantity": line.quantity, f"line{line.pk}-tote": " B "}
    page.post(reverse("fairs:change_lines", args=[made.pk]), told)
    assert [(line.tote, line.quantity) for line in made.lines.all()] == [("B", 7)]


def test_loading_takes_the_lines_as_they_are_filled_in(
    page: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """A number changed and not saved is not lost; sent twice it moves once."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    line = made.lines.get()
    told = {f"line{line.pk}-quantity": 6, f"line{line.pk}-tote": "", "filled": 1, "key": "load"}
    for _ in range(2):
        page.post(reverse("fairs:load", args=[made.pk]), told)
    assert at(weekend.fair.stall, tumbler) == 6
    shown = page.get(reverse("fairs:packing_list", args=[made.pk])).content.decode()
    assert "In the van" in shown
    assert "$204.00" in shown


def test_a_loading_is_undone_with_a_reason(
    page: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Without one it stays; with one everything is on the shelf again."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    address = reverse("fairs:unload", args=[made.pk])
    assert "say why" in page.post(address, {"key": "u", "reason": ""}, follow=True).content.decode()
    assert at(weekend.fair.stall, tumbler) == 4
    page.post(address, {"key": "u", "reason": "wrong fair"})
    assert at(weekend.fair.stall, tumbler) == 0


def test_pieces_are_brought_home_once(page: Client, weekend: Weekend, owner: User) -> None:
    """The same form sent twice moves once."""
    ware = WareFactory()
    on_the_stall(weekend, ware, 5, owner)
    address = reverse("fairs:bring_home", args=[weekend.fair_id])
    key = re.search(r'name="key" value="(\w+)"', page.get(address).content.decode())
    assert key
    for _ in range(2):
        page.post(address, {f"home{ware.pk}-first-quantity": 3, "key": key[1]})
    assert at(weekend.fair.stall, ware) == 2
    assert "3 pieces" in page.get(address).content.decode()


def test_the_list_is_printed_by_tote(
    page: Client, weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """As a page and as a PDF, with its totals."""
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3)], owner)
    shown = page.get(reverse("fairs:packing_print", args=[made.pk])).content.decode()
    assert "Tote A" in shown
    assert "7 pieces, worth $238.00" in shown
    answer = page.get(reverse("fairs:packing_pdf", args=[made.pk]))
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
