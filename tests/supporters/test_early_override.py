"""A piece of an early release that is sold to others: by a named override alone, and it is told."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, TierFactory, shelf
from tests.supporters.makers import TODAY, at
from vendor.house import clock
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece
from vendor.ledger.models import Entry, Hold
from vendor.supporters import actions, offering, online, shop
from vendor.supporters.errors import NotNow
from vendor.supporters.models import EarlyRelease, ShopSale
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


def planned(owner: User, opens_on: datetime.date) -> EarlyRelease:
    """Plan an early release of three days."""
    return offering.open_early_release(
        key="early", name="Winter letter", opens_on=opens_on, closes_on=opens_on + 2 * DAY,
        tier=TierFactory(), who=owner, now=NOW,
    )  # fmt: skip


@pytest.fixture
def release(tumbler: Ware, owner: User) -> EarlyRelease:
    """One that has the shelf's two tumblers."""
    made = planned(owner, TODAY)
    offering.set_aside(key="a", release=made, ware=tumbler, quantity=2, who=owner, now=NOW)
    return made


def sold(tumbler: Ware, owner: User) -> tuple[Hold, Entry]:
    """Sell one of them to somebody else, as the counter does."""
    hold = Hold.objects.filter(purpose=Hold.Purpose.EARLY_RELEASE).earliest("pk")
    with pytest.raises(HeldPiece, match="Winter letter"):
        ledger.sell(key="n", lines=[ledger.Line(tumbler.pk, 1)], source=shelf(), who=owner, now=NOW)
    entry = ledger.sell(
        key="s", lines=[ledger.Line(tumbler.pk, 1)], source=shelf(), overrides=[hold], who=owner,
        now=NOW, reason="She saw it and wept",
    )  # fmt: skip
    assert actions.hold_overridden(hold=hold, who=owner, now=NOW, reason="so") is None
    return hold, entry


def test_an_override_stands_on_the_page_of_its_release(
    release: EarlyRelease, tumbler: Ware, owner: User, desk: Client, monkeypatch: Any
) -> None:
    """Who, when and why; the release's own sales are told apart from it."""
    monkeypatch.setattr(clock, "now", lambda: NOW)
    _, entry = sold(tumbler, owner)
    online.sell_set_aside(
        key="own", ware=tumbler, quantity=1, price=3400, release=release, who=owner, now=NOW
    )
    (line,) = shop.sold_all_the_same(release)
    assert line.entry == entry
    page = desk.get(reverse("supporters:release_page", args=[release.pk])).content.decode()
    assert "Sold to others all the same" in page
    assert "She saw it and wept" in page


def test_an_override_that_is_undone_is_told_no_more(
    release: EarlyRelease, tumbler: Ware, owner: User
) -> None:
    """Its piece is held for the release again."""
    hold, entry = sold(tumbler, owner)
    ledger.reverse(key="u", entry=entry, who=owner, now=NOW, reason="Rung up wrongly")
    assert actions.hold_restored(hold=hold, who=owner, now=NOW) is None
    assert shop.sold_all_the_same(release) == []
    assert at(shelf(), tumbler) == (2, 2)


def test_a_piece_that_comes_back_after_the_end_is_free(
    release: EarlyRelease, tumbler: Ware, owner: User
) -> None:
    """Nothing stays held for a release that is over, however often its return is told."""
    hold, entry = sold(tumbler, owner)
    offering.end_early_release(release=release, who=owner, now=NOW, reason="All written to")
    ledger.reverse(key="u", entry=entry, who=owner, now=NOW, reason="Rung up wrongly")
    for _ in range(2):
        assert actions.hold_restored(hold=hold, who=owner, now=NOW) is None
    assert at(shelf(), tumbler) == (2, 0)
    assert audit() == []


@pytest.mark.parametrize("days", [-1, 3])
def test_supporters_buy_from_its_first_day_to_its_last(
    release: EarlyRelease, tumbler: Ware, owner: User, days: int
) -> None:
    """A sale of another day is refused, and nothing is sold."""
    with pytest.raises(NotNow, match="is open from"):
        online.sell_set_aside(
            key="s", ware=tumbler, quantity=1, price=3400, release=release, who=owner, now=NOW,
            sold_on=TODAY + days * DAY,
        )  # fmt: skip
    assert not ShopSale.objects.exists()
    assert at(shelf(), tumbler) == (2, 2)
