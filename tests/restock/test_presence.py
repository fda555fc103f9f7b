"""When a ware could be bought at a stall, from what came and went, worked by hand."""

import datetime
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.presence import Event, Gap, Selling, gaps_of, stints
from vendor.restock.records import Ending

# What the studio's clock shows has no zone.
FRIDAY = datetime.datetime.combine(datetime.date(2026, 11, 20), datetime.time())
LATER = datetime.datetime.combine(datetime.date(2026, 12, 31), datetime.time())


def on(day: int, hour: float) -> datetime.datetime:
    """Return an hour, counted from the Friday before: day 1 is Saturday, 8 the next."""
    return FRIDAY + datetime.timedelta(days=day, hours=hour)


def weekend(number: int = 1, first: int = 1) -> Selling:
    """Return a Saturday and Sunday, ten to five: fourteen open hours."""
    return Selling(number, ((on(first, 10), on(first, 17)), (on(first + 1, 10), on(first + 1, 17))))


BROUGHT = Event(on(0, 17), 3)


def told(*events: Event, until: datetime.datetime = LATER):  # type: ignore[no-untyped-def]
    """Return the stint of the first weekend."""
    return stints(events, [weekend()], until=until)[1]


def sold(at: datetime.datetime, pieces: int = 1) -> Event:
    """Return a sale."""
    return Event(at, -pieces, pieces)


def test_what_sold_out_on_sunday_at_one_was_there_for_ten_of_fourteen_hours() -> None:
    """Saturday's seven, and three of Sunday's."""
    stint = told(BROUGHT, sold(on(1, 11), 2), sold(on(2, 13)))
    assert (stint.record.sold, stint.record.hours, stint.record.open_hours) == (3, 10, 14)
    assert stint.record.ending is Ending.SOLD_OUT
    assert stint.sold_out_at == on(2, 13)


def test_what_is_left_over_was_there_all_the_time() -> None:
    """No sell-out, the whole weekend watched."""
    stint = told(BROUGHT, sold(on(1, 11)))
    assert (stint.record.sold, stint.record.hours) == (1, 14)
    assert stint.record.ending is Ending.LEFT_OVER
    assert stint.sold_out_at is None


def test_a_top_up_on_sunday_gives_a_second_exposure() -> None:
    """Gone from Saturday at two until Sunday at eleven: four hours are off."""
    stint = told(BROUGHT, sold(on(1, 14), 3), Event(on(2, 11), 4), sold(on(2, 12)))
    assert (stint.record.sold, stint.record.hours) == (4, 14 - 3 - 1)
    assert stint.record.ending is Ending.SOLD_OUT
    assert stint.sold_out_at == on(1, 14)


def test_a_piece_found_and_sold_had_been_there_since_the_books_had_it_sold_out() -> None:
    """Sold out at noon by the books, a fourth piece sold at three: there until three."""
    stint = told(BROUGHT, sold(on(1, 12), 3), Event(on(1, 15), 0, 1, found=True))
    assert (stint.record.sold, stint.record.hours) == (4, 5)
    assert stint.sold_out_at == on(1, 15)


def test_a_piece_found_a_weekend_later_had_been_there_since_that_weekend_began() -> None:
    """The first weekend's sell-out stands; the second's first hours were watched."""
    events = [BROUGHT, sold(on(1, 12), 3), Event(on(8, 15), 0, 1, found=True)]
    found = stints(events, [weekend(), weekend(2, 8)], until=LATER)
    assert (found[1].record.hours, found[1].sold_out_at) == (2, on(1, 12))
    assert (found[2].record.sold, found[2].record.hours, found[2].sold_out_at) == (1, 5, on(8, 15))


def test_a_sale_that_reached_the_books_before_its_van_counts_as_found() -> None:
    """By the clock it was sold before it came: so it had come."""
    stint = told(sold(on(1, 11)), Event(on(1, 12), 3))
    assert (stint.record.sold, stint.record.hours) == (1, 14)


def test_a_count_that_finds_pieces_takes_the_sell_out_back() -> None:
    """Sunday's closing counts two that the books had sold."""
    stint = told(BROUGHT, sold(on(1, 12), 3), Event(on(2, 18), 2, found=True))
    assert (stint.record.sold, stint.record.hours) == (3, 14)
    assert stint.record.ending is Ending.LEFT_OVER


def test_what_is_sold_by_the_count_after_the_last_hour_sold_out_nobody_knows_when() -> None:
    """At least three were wanted, over the whole weekend."""
    stint = told(BROUGHT, sold(on(2, 18), 3))
    assert (stint.record.sold, stint.record.hours) == (3, 14)
    assert stint.record.ending is Ending.SOLD_OUT_UNKNOWN
    assert stint.sold_out_at is None


def test_what_is_sold_by_the_count_on_saturday_was_wanted_that_often_at_least() -> None:
    """Over Saturday's seven hours; on Sunday there was none."""
    stint = told(BROUGHT, sold(on(1, 17), 3))
    assert (stint.record.sold, stint.record.hours) == (3, 7)
    assert stint.record.ending is Ending.SOLD_OUT_UNKNOWN


def test_what_is_sold_before_the_opening_is_gone_from_the_first_hour() -> None:
    """To a neighbour at half past nine; the record takes a quarter of an hour at least."""
    stint = told(BROUGHT, sold(on(1, 9.5), 3))
    assert (stint.record.sold, stint.record.hours) == (3, 0)
    assert stint.record.exposure == 0.25 / 14
    assert (stint.record.ending, stint.sold_out_at) == (Ending.SOLD_OUT, on(1, 9.5))


def test_what_goes_at_night_and_is_back_in_the_morning_was_always_there() -> None:
    """Taken home on Saturday evening, out again before the opening."""
    stint = told(BROUGHT, Event(on(1, 18), -3), Event(on(2, 9), 3))
    assert stint.record.hours == 14
    assert stint.record.ending is Ending.LEFT_OVER


def test_what_is_taken_home_early_is_off_the_stall_but_not_sold_out() -> None:
    """Packed up on Sunday at three."""
    stint = told(BROUGHT, Event(on(2, 15), -3))
    assert stint.record.hours == 12
    assert stint.record.ending is Ending.LEFT_OVER


def test_a_piece_taken_back_counts_against_its_weekend_and_stands_again() -> None:
    """Sold out at noon, one back at three: two sold, and sold again by nobody."""
    stint = told(BROUGHT, sold(on(1, 12), 3), Event(on(1, 15), 1, -1))
    assert (stint.record.sold, stint.record.hours) == (2, 14 - 3)


def test_the_weekend_that_is_on_counts_up_to_now() -> None:
    """Saturday at two: four hours watched of fourteen."""
    stint = told(BROUGHT, sold(on(1, 11)), until=on(1, 14))
    assert (stint.record.hours, stint.record.open_hours) == (4, 14)


def test_a_weekend_that_has_not_opened_has_no_stint() -> None:
    """Half past nine is not yet."""
    assert stints([BROUGHT], [weekend()], until=on(1, 9.5)) == {}


def test_what_was_never_out_has_no_exposure() -> None:
    """It came a week later."""
    found = stints([Event(on(8, 9), 3)], [weekend(), weekend(2, 8)], until=LATER)
    assert [found[number].record.exposure for number in (1, 2)] == [0, 1]


def test_a_weekend_without_a_day_is_refused() -> None:
    """It has no hours to count."""
    with pytest.raises(ValueError, match="has a day"):
        Selling(1, ())


changes = st.lists(st.tuples(st.integers(1, 60), st.integers(-3, 3), st.booleans()), max_size=25)


@given(changes)
def test_gaps_come_in_order_and_never_overlap(steps: list[tuple[int, int, bool]]) -> None:
    """Whatever comes and goes."""
    events = [
        Event(on(0, hour), change, max(-change, 0), found=found) for hour, change, found in steps
    ]
    events.sort(key=lambda each: each.at)
    gaps = gaps_of(events, [weekend().begins])
    assert all(gap.back is not None for gap in gaps[:-1])
    for earlier, later in pairwise(gaps):
        assert earlier.back is not None
        assert later.gone is not None
        assert earlier.back <= later.gone
    stint = told(*events)
    assert 0 <= stint.record.hours <= 14


def test_nothing_ever_there_is_one_gap_without_end() -> None:
    """From the start until now."""
    assert gaps_of([], []) == [Gap(None, None, sold_out=False)]
