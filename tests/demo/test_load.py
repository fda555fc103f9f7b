"""The demonstration season, written through the potter's own actions, adds up."""

import datetime
from collections import Counter

import pytest
from django.core.management import CommandError, call_command
from django.test import TestCase

from vendor.closing.models import Closing, ClosingLine
from vendor.counter.models import Sale
from vendor.demo import season
from vendor.demo.load import load_demo, logins
from vendor.fairs.models import Weekend
from vendor.firings.models import Firing, Loss
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Hold
from vendor.supporters.models import Commitment, EarlyRelease, ShopSale, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
WEDNESDAY = datetime.datetime(2026, 12, 2, 14, tzinfo=datetime.UTC)


class TestTheLoadedDemo(TestCase):
    """The season as it stands on a Wednesday: loaded once, and every test finds it untouched."""

    @classmethod
    def setUpTestData(cls) -> None:
        """Load it."""
        load_demo(now=WEDNESDAY)

    def test_the_demo_stands_in_the_third_week_with_every_piece_accounted_for(self) -> None:
        """Two weekends sold and closed, one of them with a variance that was explained."""
        assert audit() == []
        assert Ware.objects.count() == 30
        assert Supporter.objects.count() == 12
        assert Firing.objects.filter(unloaded_at__isnull=False).count() == 6
        assert Loss.objects.count() > 6
        assert [closing.weekend.number for closing in Closing.objects.all()] == [1, 2]
        for weekend in Weekend.objects.filter(number__in=[1, 2]):
            assert 150 <= Sale.objects.filter(weekend=weekend).count() <= 300
        (differing,) = {line.closing.number for line in ClosingLine.objects.exclude(variance=0)}
        assert differing == 1
        assert all(line.reason for line in ClosingLine.objects.exclude(variance=0))
        assert Closing.objects.get(number=2).over_short == -200
        coming = Weekend.objects.coming(at=WEDNESDAY.date()).first()
        assert coming is not None
        assert (coming.number, str(coming.first_day)) == (3, "2026-12-05")

    def test_what_stands_on_the_shelf_is_what_the_model_left_there(self) -> None:
        """Written through the ledger or drawn on paper: the same pots."""
        drawn = season.draw(WEDNESDAY.date())
        free = {
            (row.ware.code, row.grade): row.free
            for row in Balance.objects.filter(place__kind="studio").select_related("ware")
            if row.free
        }
        assert free == {spot: left for spot, left in drawn.shelf.items() if left}
        assert Hold.objects.filter(purpose="commitment", quantity__gt=0).count() == (
            Commitment.objects.filter(hold__quantity__gt=0).count()
        )

    def test_some_pieces_are_set_aside_for_supporters_and_online_and_some_have_sold(self) -> None:
        """Four early and three online, of which a casserole each has sold; the rest is held."""
        today = WEDNESDAY.date()
        assert [release.is_open(today) for release in EarlyRelease.objects.all()] == [True]
        held = Counter(Hold.objects.filter(quantity__gt=0).values_list("purpose", flat=True))
        assert (held["early_release"], held["online"]) == (3, 2)
        sold = ShopSale.objects.values_list("channel", "ware__code", "quantity", "price")
        # 120.00 less a tenth for supporters; a tenth more online.
        assert sorted(sold) == [("early", "CAS-CEL", 1, 10_800), ("online", "CAS-TEN", 1, 13_200)]

    def test_it_is_never_mixed_with_a_potters_own_season(self) -> None:
        """A second load is refused, and the demo's people can log in."""
        with pytest.raises(Refused, match="not loaded"):
            load_demo(now=WEDNESDAY)
        with pytest.raises(CommandError, match="not loaded"):
            call_command("demo")
        for login in logins():
            person = User.objects.get(username=login.username)
            assert person.check_password(login.password)
            assert person.role == login.role


@pytest.mark.sqlite  # How a day is read does not depend on the database.
@pytest.mark.parametrize("days", [3, 4, 5])
def test_it_loads_on_a_saturday_a_sunday_and_a_monday(days: int) -> None:
    """Whenever somebody tries it, the third weekend is the one that is not over."""
    now = WEDNESDAY + datetime.timedelta(days=days)
    load_demo(now=now)
    coming = Weekend.objects.coming(at=now.date()).first()
    assert coming is not None
    assert coming.number == 3
    assert audit() == []
