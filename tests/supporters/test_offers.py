"""Pieces set aside to be bought: early by supporters, or online."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.factories import NOW, TierFactory, shelf, stall, stocked
from tests.supporters.makers import TODAY, at
from vendor.house import clock
from vendor.house.models import User
from vendor.house.reasons import ReasonNeeded
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Entry, Place
from vendor.supporters import offering, online
from vendor.supporters.errors import NoFreePiece, NotNow
from vendor.supporters.models import EarlyRelease, ShopSale
from vendor.supporters.spare import read_need, to_put_online
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def release(owner: User) -> EarlyRelease:
    """An early release of this week."""
    return offering.open_early_release(
        key="early", name="Winter letter", opens_on=TODAY, closes_on=TODAY + 3 * DAY,
        tier=TierFactory(), who=owner, now=NOW,
    )  # fmt: skip


@pytest.fixture
def bowl(owner: User, tumbler: Ware) -> Ware:
    """The tumbler, of which there are five."""
    stocked(tumbler, 3, who=owner, key="three")
    return tumbler


def aside(release: EarlyRelease, ware: Ware, owner: User, quantity: int = 3) -> None:
    """Set pieces aside."""
    offering.set_aside(
        key="aside", release=release, ware=ware, quantity=quantity, who=owner, now=NOW
    )


def sold(ware: Ware, owner: User, quantity: int = 1, key: str = "sold", **more: Any) -> ShopSale:
    """Record a sale of what is set aside."""
    return online.sell_set_aside(
        key=key, ware=ware, quantity=quantity, price=3400, who=owner, now=NOW, **more
    )


def box() -> Place:
    """Return the online bin."""
    return ledger.the_place(Place.Kind.ONLINE)


def test_pieces_are_set_aside_once_and_not_packed(
    release: EarlyRelease, bowl: Ware, owner: User
) -> None:
    """Three of five are held; the fair gets two."""
    for _ in range(2):
        aside(release, bowl, owner)
    assert at(shelf(), bowl) == (5, 3)
    with pytest.raises(HeldPiece, match="Winter letter"):
        ledger.remove(
            key="x", lines=[ledger.Line(bowl.pk, 3)], source=shelf(), to="given", who=owner,
            now=NOW, reason="so",
        )  # fmt: skip
    with pytest.raises(HeldPiece):
        offering.set_aside(key="more", release=release, ware=bowl, quantity=3, who=owner, now=NOW)
    assert at(shelf(), bowl) == (5, 3)


def test_an_early_sale_takes_held_pieces_once_and_can_be_undone(
    release: EarlyRelease, bowl: Ware, owner: User
) -> None:
    """Two sold, one left; undone, three held again."""
    aside(release, bowl, owner)
    for _ in range(2):
        sale = sold(bowl, owner, 2, release=release, reference="A 7")
    assert (sale.total, sale.channel) == (6800, "early")
    assert at(shelf(), bowl) == (3, 1)
    with pytest.raises(NoFreePiece, match="holds 1"):
        sold(bowl, owner, 2, key="more", release=release)
    for _ in range(2):
        online.undo_sale(key="u", sale=sale, reason="Paid by mistake", who=owner, now=NOW)
    assert at(shelf(), bowl) == (5, 3)
    with pytest.raises(NotNow):
        online.undo_sale(key="v", sale=sale, reason="again", who=owner, now=NOW)
    assert audit() == []


def test_what_did_not_sell_returns_by_itself_with_a_record(
    release: EarlyRelease, bowl: Ware, owner: User
) -> None:
    """Not on its last day, but the day after, once."""
    aside(release, bowl, owner)
    sold(bowl, owner, release=release)
    assert offering.end_what_is_over(who=owner, now=NOW + 3 * DAY) == []
    for _ in range(2):
        offering.end_what_is_over(who=owner, now=NOW + 4 * DAY)
    release.refresh_from_db()
    assert (release.returned, release.ended_by) == (2, owner)
    assert at(shelf(), bowl) == (4, 0)
    assert Entry.objects.filter(kind="release", reason__contains="Winter letter").count() == 2
    with pytest.raises(NotNow, match="has ended"):
        offering.set_aside(
            key="late", release=release, ware=bowl, quantity=1, who=owner, now=NOW + 4 * DAY
        )


def test_the_first_page_of_the_next_day_ends_it(
    release: EarlyRelease, bowl: Ware, owner: User, client: Client, monkeypatch: Any
) -> None:
    """Any page that anybody opens; nothing runs in the background."""
    aside(release, bowl, owner)
    client.force_login(owner)
    for days, held in ((0, 3), (4, 0)):
        monkeypatch.setattr(clock, "now", lambda days=days: NOW + days * DAY)
        client.get(reverse("supporters:held"))
        assert at(shelf(), bowl) == (5, held)


def test_a_closed_stall_keeps_nobody_from_their_pages(
    release: EarlyRelease, bowl: Ware, owner: User, client: Client, monkeypatch: Any
) -> None:
    """Closed on Saturday for Sunday too, and the release ended in between: it ends on Monday."""
    stocked(bowl, 1, at=stall(), who=owner, key="one")
    offering.set_aside(
        key="aside", release=release, ware=bowl, quantity=1, place=stall(), who=owner, now=NOW
    )
    ledger.close_through(place=stall(), day=TODAY + 4 * DAY)
    client.force_login(owner)
    for days, held in ((4, 1), (5, 0)):
        monkeypatch.setattr(clock, "now", lambda days=days: NOW + days * DAY)
        assert client.get(reverse("supporters:held")).status_code == 200
        assert at(stall(), bowl) == (1, held)


def test_a_sale_undone_after_the_end_leaves_a_free_piece(
    release: EarlyRelease, bowl: Ware, owner: User
) -> None:
    """Nothing stays held for a release that is over."""
    aside(release, bowl, owner)
    sale = sold(bowl, owner, release=release)
    offering.end_early_release(release=release, who=owner, now=NOW, reason="All written to")
    online.undo_sale(key="u", sale=sale, reason="Came back", who=owner, now=NOW)
    assert at(shelf(), bowl) == (5, 0)
    assert audit() == []


def test_pieces_are_given_back_early_with_a_reason(
    release: EarlyRelease, bowl: Ware, owner: User
) -> None:
    """Once, and never more than there are."""
    aside(release, bowl, owner)
    more: Any = {"release": release, "ware": bowl, "who": owner, "now": NOW}
    with pytest.raises(ReasonNeeded):
        offering.give_back(key="b", quantity=1, reason="", **more)
    for _ in range(2):
        offering.give_back(key="b", quantity=2, reason="The fair needs them", **more)
    assert at(shelf(), bowl) == (5, 1)
    with pytest.raises(NoFreePiece, match="holds 1"):
        offering.give_back(key="c", quantity=2, reason="more", **more)


def test_a_release_is_planned_once_and_not_into_the_past(
    release: EarlyRelease, owner: User
) -> None:
    """The same key answers the same."""
    more: Any = {"tier": release.tier, "who": owner, "now": NOW}
    again = offering.open_early_release(
        key="early", name="Winter letter", opens_on=TODAY, closes_on=TODAY, **more
    )
    assert again == release
    with pytest.raises(NotNow, match="has passed"):
        offering.open_early_release(
            key="late", name="Late", opens_on=TODAY - DAY, closes_on=TODAY - DAY, **more
        )


def test_pieces_go_online_sell_there_and_come_back(bowl: Ware, owner: User) -> None:
    """Held in the bin all the while, so that nobody packs them."""
    lines = [ledger.Line(bowl.pk, 3)]
    for _ in range(2):
        online.put_online(key="o", lines=lines, who=owner, now=NOW)
    assert (at(shelf(), bowl), at(box(), bowl)) == ((2, 0), (3, 3))
    for _ in range(2):
        sale = sold(bowl, owner, 1, reference="W 1")
    assert (sale.channel, at(box(), bowl)) == ("online", (2, 2))
    with pytest.raises(NoFreePiece, match="2 of"):
        sold(bowl, owner, 3, key="more")
    for _ in range(2):
        online.take_offline(
            key="b", ware=bowl, quantity=2, reason="The fair needs them", who=owner, now=NOW
        )
    assert (at(shelf(), bowl), at(box(), bowl)) == ((4, 0), (0, 0))
    assert online.in_the_bin() == {}
    assert audit() == []


def test_more_than_is_free_does_not_go_online(bowl: Ware, owner: User) -> None:
    """As a whole."""
    with pytest.raises(NoFreePiece, match="No piece was chosen"):
        online.put_online(key="n", lines=[ledger.Line(bowl.pk, 0)], who=owner, now=NOW)
    with pytest.raises(Exception, match="has 5"):
        online.put_online(key="o", lines=[ledger.Line(bowl.pk, 6)], who=owner, now=NOW)
    assert at(shelf(), bowl) == (5, 0)


def test_the_fair_comes_before_the_online_bin() -> None:
    """Five free, the fair needs four: one to spare; two wanted online, one there."""
    found = to_put_online({1: 5, 2: 9, 3: 2}, {1: 4, 3: 5}, {2: 1}, each=2)
    assert [(each.ware_id, each.spare, each.add) for each in found] == [
        (1, 1, 1),
        (2, 9, 1),
        (3, 0, 0),
    ]
    assert read_need(["1:4", "x:2", "3:", "2:1", "4:-1"]) == {1: 4, 2: 1}


pieces = st.dictionaries(st.integers(1, 5), st.integers(0, 20))


@given(pieces, pieces, pieces, st.integers(0, 10))
def test_what_goes_online_never_touches_the_fairs_need(
    free: dict[int, int], need: dict[int, int], there: dict[int, int], each: int
) -> None:
    """Whatever the numbers."""
    for row in to_put_online(free, need, there, each=each):
        assert 0 <= row.add <= max(0, free.get(row.ware_id, 0) - need.get(row.ware_id, 0))
        assert row.add == 0 or row.add + there.get(row.ware_id, 0) <= each
