"""What the coming weekend's plan says, from the ledger, against figures worked by hand."""

import datetime

import pytest

from tests.factories import NOW, FinishFactory, FormFactory
from tests.restock.makers import Season
from vendor.fairs import actions as fairs
from vendor.ledger import actions, holds
from vendor.ledger.models import Place
from vendor.restock import reading
from vendor.restock.prior import ANCHOR
from vendor.restock.quantities import quantity_for
from vendor.restock.room import Room, RoomUnit

pytestmark = pytest.mark.django_db


@pytest.fixture
def season() -> Season:
    """Three weekends from 21 November 2026."""
    return Season()


def test_what_sold_out_on_sunday_at_one_says_so_and_is_estimated_by_its_hours(
    season: Season,
) -> None:
    """Nine in ten of fourteen hours: the rate's Gamma is the prior's plus nine in 10/14."""
    ware = season.ware(free=3)
    season.bring(ware, 9, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 8, season.at(1, 1, 13))
    now = season.at(2, -3, 9)
    row = season.row(ware, now)
    told = reading.past(reading.all_weekends(), now=now, studio=season.studio)
    prior = told.season(season.fair.pk, []).prior.gamma
    assert row.sold == {1: 9}
    assert row.stints[1].record.exposure == pytest.approx(10 / 14)
    assert row.expected == pytest.approx((prior.shape + 9) / (prior.rate + 10 / 14))
    assert row.why == "Sold out Sunday 1:00\u202fPM: 9 pieces gone in 10 of 14 open hours."


def test_bring_what_is_wanted_less_what_is_there_as_far_as_it_is_free(season: Season) -> None:
    """The quantity at the level, less the stall; the rest of it is short."""
    ware = season.ware(free=3)
    season.bring(ware, 10, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11 + hour / 2) for hour in range(8)])
    now = season.at(2, -3, 9)
    row = season.row(ware, now, level=90)
    told = reading.past(reading.all_weekends(), now=now, studio=season.studio)
    demand = told.season(season.fair.pk, []).estimates[ware.pk].weekend()
    assert row.wanted == quantity_for(demand, 0.9) > 5
    assert (row.standing.there, row.standing.free) == (2, 3)
    assert (row.bring, row.short) == (3, row.wanted - 5)
    assert row.why_so_many == f"{row.wanted}\u00a0wanted, 2\u00a0there, 3\u00a0free"


def test_held_pieces_are_neither_brought_nor_counted_as_there(season: Season) -> None:
    """One promised on the shelf, one on the stall."""
    ware = season.ware(free=2)
    season.bring(ware, 2, season.at(1, -1, 17))
    shelf = Place.objects.get(kind=Place.Kind.STUDIO)
    season.hold(ware, season.at(1, -1, 18))
    season.hold(ware, season.at(1, -1, 18), at=shelf)
    row = season.row(ware, season.at(2, -3, 9))
    assert (row.standing.there, row.standing.there_held) == (1, 1)
    assert (row.standing.free, row.standing.held) == (1, 1)
    assert row.bring <= 1


def test_the_last_free_piece_sold_is_a_sell_out_though_a_held_one_stands_there(
    season: Season,
) -> None:
    """Nobody could buy it; once released it can be bought again."""
    ware = season.ware()
    season.bring(ware, 2, season.at(1, -1, 17))
    hold = season.hold(ware, season.at(1, -1, 18))
    season.sell(ware, season.at(1, 0, 12))
    row = season.row(ware, season.at(2, -3, 9))
    assert row.stints[1].record.hours == 2
    holds.release(
        key="release", hold=hold, who=season.owner, now=season.at(1, 1, 10), reason="not wanted"
    )
    row = season.row(ware, season.at(2, -3, 9))
    assert row.stints[1].record.hours == 9


def test_an_undone_sale_is_no_sale_and_no_sell_out(season: Season) -> None:
    """Its piece was on the stall all the time."""
    ware = season.ware()
    season.bring(ware, 1, season.at(1, -1, 17))
    season.undo(season.sell(ware, season.at(1, 0, 12)), season.at(1, 0, 16))
    row = season.row(ware, season.at(2, -3, 9))
    assert row.sold == {1: 0}
    assert (row.stints[1].record.hours, row.stints[1].sold_out_at) == (14, None)
    assert row.why == "None sold in 1 weekend."


def test_a_piece_found_and_sold_counts_as_sold(season: Season) -> None:
    """The books had one, two were sold."""
    ware = season.ware()
    season.bring(ware, 1, season.at(1, -1, 17))
    season.sell(ware, season.at(1, 0, 12), season.at(1, 0, 15))
    row = season.row(ware, season.at(2, -3, 9))
    assert row.sold == {1: 2}
    assert row.stints[1].record.hours == 5


def test_a_second_that_is_a_first_after_all_takes_no_sell_out_back(season: Season) -> None:
    """It came out of the grade, not to light: gone from noon until it was told a first."""
    ware = season.ware()
    season.bring(ware, 1, season.at(1, -1, 17))
    season.bring(ware, 1, season.at(1, -1, 17), grade="second")
    season.sell(ware, season.at(1, 0, 12))
    actions.regrade(
        key="regrade", lines=[actions.Line(ware.pk, 1, "second")], at=season.stall, to="first",
        who=season.owner, now=season.at(1, 1, 12), reason="only dust",
    )  # fmt: skip
    stint = season.row(ware, season.at(2, -3, 9)).stints[1]
    assert stint.record.hours == 2 + 5
    assert stint.sold_out_at is not None


def test_seconds_are_left_out_and_told_apart(season: Season) -> None:
    """They say nothing of what to make."""
    ware = season.ware(free=1)
    season.bring(ware, 3, season.at(1, -1, 17), grade="second")
    season.sell(ware, season.at(1, 0, 12), grade="second")
    plan = season.plan(season.at(2, -3, 9))
    assert [(row.sold, row.standing.there) for row in plan.rows] == [({1: None}, 0)]
    assert plan.aside.seconds == 0


def test_what_was_never_brought_has_the_prior_alone_and_is_new_here(season: Season) -> None:
    """A first fair: the anchor itself."""
    row = season.row(season.ware(free=4), season.at(1, -3, 9))
    assert row.stints == {}
    assert row.expected == pytest.approx(ANCHOR.mean)
    assert row.why == "New here, and a first fair: a careful start until there are sales."


def test_what_is_one_of_a_kind_is_left_out_and_told_apart(season: Season) -> None:
    """Nobody can say what it sells; nor does it say what others do."""
    season.ware(free=1, one_of_a_kind=True)
    plan = season.plan(season.at(1, -3, 9))
    assert (plan.rows, plan.aside.one_of_a_kind) == ([], 1)


def test_what_is_not_made_any_more_is_brought_but_never_short(season: Season) -> None:
    """Nothing can be fired of it."""
    ware = season.ware(free=1, retired=True)
    season.bring(ware, 6, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 6)
    row = season.row(ware, season.at(2, -3, 9))
    assert (row.bring, row.short) == (1, 0)
    assert row.why_so_many.endswith("not\u00a0made\u00a0any\u00a0more")


def test_the_weekend_that_is_on_asks_for_the_hours_that_are_left(season: Season) -> None:
    """On Saturday evening half the weekend is to come."""
    ware = season.ware(free=9)
    season.bring(ware, 6, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 4)
    evening = season.plan(season.at(1, 0, 20))
    row = evening.rows[0]
    assert (evening.weekend.number, evening.is_on, evening.to_come) == (1, True, 0.5)
    assert row.stints[1].record.hours == 7
    assert row.expected == pytest.approx(row.rate / 2)
    assert season.plan(season.at(1, 1, 17.5)).weekend.number == 2


def test_a_busier_weekend_asks_for_more(season: Season) -> None:
    """A crowd of 140 per cent."""
    ware = season.ware(free=9)
    now = season.at(1, -3, 9)
    before = season.row(ware, now).expected
    weekend = season.weekends[0]
    days = [fairs.OpenDay(each.day, each.opens, each.closes) for each in weekend.days.all()]
    fairs.change_weekend(weekend=weekend, days=days, crowd_percent=140, who=season.owner, now=NOW)
    assert season.row(ware, now).expected == pytest.approx(before * 1.4)


def test_where_the_van_is_small_what_sells_dearest_for_its_room_goes_in(season: Season) -> None:
    """Three places: the dear ware first; what stays at home is told."""
    dear, cheap = season.ware(free=5, price=8000), season.ware(free=5, price=900)
    plan = season.plan(season.at(1, -3, 9), room=Room(3, RoomUnit.PIECES))
    brought = {row.ware.pk: row.bring for row in plan.rows}
    assert brought == {dear.pk: 3, cheap.pk: 0}
    assert plan.left == sum(row.left for row in plan.rows) > 0
    assert plan.room_in_words == "3 of 3 pieces."


def test_totes_are_filled_by_the_square_of_the_widest_measure(season: Season) -> None:
    """A tote of 60 × 40 cm takes one bowl of 35 cm, and some smaller ones."""
    season.ware(free=5, price=8000, form=FormFactory(width_mm=350), finish=FinishFactory())
    plan = season.plan(season.at(1, -3, 9), level=99, room=Room(1, RoomUnit.TOTES))
    assert plan.bring == 1
    assert plan.room_in_words == "0.5 of 1 totes filled."


def test_earlier_fairs_shape_the_prior_and_nothing_else(season: Season) -> None:
    """What sold at another fair is not sold here."""
    ware = season.ware(free=2)
    season.bring(ware, 20, season.at(1, -1, 17))
    season.sell(ware, *[season.at(1, 0, 11)] * 19)
    other = fairs.open_fair(
        name="Spring fair", terms=fairs.terms_of(season.fair), who=season.owner, now=NOW
    )
    later = season.weekends[-1].last_day + datetime.timedelta(days=20)
    fairs.plan_weekends(fair=other, first_day=later, count=1, who=season.owner, now=NOW)
    now = season.at(5, 0, 9)
    row = season.row(ware, now)
    assert (row.stints, row.standing.there) == ({}, 0)
    assert row.expected > ANCHOR.mean
    assert row.why == "New here: reckoned from the 1 ware already seen."
