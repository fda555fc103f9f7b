"""Opening fairs and planning weekends."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from tests.factories import NOW, TierFactory, UserFactory, WareFactory
from tests.fairs.makers import FIRST_DAY, a_fair, on_the_stall, weekends_of
from vendor.fairs import actions
from vendor.fairs.errors import WeekendClosed, WeekendsOverlap
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.models import Place

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def fair(owner: User) -> Fair:
    return a_fair(owner)


def test_opening_a_fair_opens_its_stall(fair: Fair) -> None:
    """The stall is a place of the ledger, by the fair's name."""
    assert (fair.stall.name, fair.stall.kind) == ("Oxmere Mill Winter Fair stall", Place.Kind.STALL)


def test_opening_the_same_fair_twice_makes_one(fair: Fair, owner: User) -> None:
    """A form sent twice, or a step back in the browser, changes nothing."""
    assert a_fair(owner) == fair
    assert Fair.objects.count() == 1


def test_another_fair_cannot_take_the_name(fair: Fair, owner: User) -> None:
    """The same name with other terms is refused in a sentence."""
    with pytest.raises(Refused, match="There is a fair called Oxmere Mill Winter Fair already"):
        a_fair(owner, tax_included=True)


def test_a_helper_plans_no_fair(fair: Fair) -> None:
    """Planning is the owner's."""
    with pytest.raises(Refused, match="planned by the owner"):
        weekends_of(fair, UserFactory())


@pytest.mark.parametrize("rate", [-1, 1_000_001])
def test_a_tax_rate_lies_between_nothing_and_everything(owner: User, rate: int) -> None:
    """Below 0 % and over 100 % are no tax rates."""
    with pytest.raises(ValidationError):
        a_fair(owner, tax_rate_ppm=rate)


def test_a_fair_needs_a_name(fair: Fair, owner: User) -> None:
    """Blanks are no name."""
    with pytest.raises(ValidationError):
        actions.open_fair(name="   ", terms=actions.Terms(TierFactory()), who=owner, now=NOW)
    assert not Place.objects.filter(name=" stall").exists()


def test_five_weekends_from_a_saturday(fair: Fair, owner: User) -> None:
    """Saturdays and Sundays, a week apart, numbered, each with its hours."""
    weekends = weekends_of(fair, owner)
    assert [(each.number, each.first_day.isoformat()) for each in weekends] == [
        (1, "2026-11-21"), (2, "2026-11-28"), (3, "2026-12-05"), (4, "2026-12-12"),
        (5, "2026-12-19"),
    ]  # fmt: skip
    assert weekends[4].last_day == datetime.date(2026, 12, 20)
    assert SellingDay.objects.count() == 10
    hours = set(SellingDay.objects.values_list("opens", "closes"))
    assert hours == {(datetime.time(10), datetime.time(17))}


def test_planning_the_same_weekends_twice_plans_them_once(fair: Fair, owner: User) -> None:
    """A form sent twice changes nothing."""
    assert weekends_of(fair, owner) == weekends_of(fair, owner)
    assert Weekend.objects.count() == 5


def test_two_weekends_of_a_fair_share_no_day(fair: Fair, owner: User) -> None:
    """Refused by name of the one that stands there, and none is planned."""
    weekends_of(fair, owner, count=2)
    with pytest.raises(WeekendsOverlap, match="weekend 2"):
        actions.plan_weekends(fair=fair, first_day=FIRST_DAY + 8 * DAY, count=3, who=owner, now=NOW)
    assert Weekend.objects.count() == 2


@pytest.mark.parametrize(("count", "days"), [(0, 2), (61, 2), (1, 0), (1, 8), (-3, 2)])
def test_impossible_plans_are_refused(fair: Fair, owner: User, count: int, days: int) -> None:
    """No weekend at all, too many, or weekends longer than a week."""
    with pytest.raises(Refused, match="Between 1 and 60"):
        actions.plan_weekends(
            fair=fair, first_day=FIRST_DAY, count=count, days=days, who=owner, now=NOW
        )


def test_a_day_that_closes_before_it_opens_plans_nothing(fair: Fair, owner: User) -> None:
    """All or nothing: the weekend before it is not planned either."""
    with pytest.raises(ValidationError):
        actions.plan_weekends(
            fair=fair, first_day=FIRST_DAY, count=2, opens=datetime.time(17),
            closes=datetime.time(10), who=owner, now=NOW,
        )  # fmt: skip
    assert Weekend.objects.count() == 0


def test_days_hours_and_crowd_can_be_changed(fair: Fair, owner: User) -> None:
    """A weekend gets a Friday, longer hours and a bigger crowd."""
    weekend = weekends_of(fair, owner)[1]
    days = [
        actions.OpenDay(weekend.first_day + n * DAY, closes=datetime.time(19)) for n in (-1, 0, 1)
    ]
    changed = actions.change_weekend(
        weekend=weekend, days=days, crowd_percent=140, who=owner, now=NOW
    )
    assert changed.first_day == datetime.date(2026, 11, 27)
    assert changed.crowd_percent == 140
    assert [day.closes.hour for day in changed.days.all()] == [19, 19, 19]


def test_a_day_on_which_ware_moved_stays_in_its_weekend(fair: Fair, owner: User) -> None:
    """What happened on Sunday can't end up between two weekends."""
    weekend = weekends_of(fair, owner)[0]
    sunday = datetime.datetime.combine(weekend.last_day, datetime.time(9), datetime.UTC)
    on_the_stall(weekend, WareFactory(), 2, owner, now=sunday)
    with pytest.raises(Refused, match="stays in"):
        actions.change_weekend(
            weekend=weekend,
            days=[actions.OpenDay(weekend.first_day)],
            crowd_percent=100,
            who=owner,
            now=NOW,
        )


def test_a_closed_weekend_is_neither_changed_nor_dropped(fair: Fair, owner: User) -> None:
    """Closed is closed, and nothing new begins within it."""
    first, second = weekends_of(fair, owner, count=2)
    ledger.close_through(place=fair.stall, day=first.last_day)
    with pytest.raises(WeekendClosed):
        actions.change_weekend(
            weekend=first,
            days=[actions.OpenDay(first.first_day)],
            crowd_percent=90,
            who=owner,
            now=NOW,
        )
    with pytest.raises(WeekendClosed):
        actions.drop_weekend(weekend=first, who=owner, now=NOW)
    with pytest.raises(WeekendClosed):
        actions.plan_weekends(
            fair=fair, first_day=first.first_day - 7 * DAY, count=1, who=owner, now=NOW
        )
    actions.drop_weekend(weekend=second, who=owner, now=NOW)
    assert list(Weekend.objects.all()) == [first]


def test_a_weekend_with_a_packing_list_stays(fair: Fair, owner: User) -> None:
    """What hangs on a weekend keeps it."""
    weekend = weekends_of(fair, owner)[0]
    on_the_stall(weekend, WareFactory(), 1, owner)
    with pytest.raises(Refused, match="so it stays"):
        actions.drop_weekend(weekend=weekend, who=owner, now=NOW)
