"""The home page says the one next thing, the most urgent first."""

import datetime
from dataclasses import replace

from vendor.studio.next_thing import Facts, WeekendFacts, days_until, next_thing, things

WEDNESDAY = datetime.date(2026, 12, 2)
SATURDAY, SUNDAY = datetime.date(2026, 12, 5), datetime.date(2026, 12, 6)
THIRD = WeekendFacts(3, 3, "Oxmere Mill", SATURDAY, SUNDAY, "Dec 5 – 6, 2026")
LAST = (datetime.date(2026, 11, 28), datetime.date(2026, 11, 29))
SECOND = WeekendFacts(2, 2, "Oxmere Mill", *LAST, "Nov 28 – 29, 2026")
WELL = Facts(
    today=WEDNESDAY,
    ware=30,
    fairs=1,
    coming=THIRD,
    unclosed=None,
    waiting_firing=None,
    unsettled_sales=0,
    overdue_promises=0,
    promises_due=0,
    lists_written=1,
    lists_loaded=1,
    open_lists=0,
)


def test_an_empty_studio_begins_with_what_it_makes() -> None:
    """Without ware nothing else can be done."""
    assert next_thing(replace(WELL, ware=0, fairs=0)).url_name == "ware:index"


def test_on_a_selling_day_the_next_thing_is_to_sell() -> None:
    """Whatever else waits, customers stand there."""
    on = replace(WELL, today=THIRD.first_day, waiting_firing=(7, 7), promises_due=2)
    assert next_thing(on).url_name == "counter:sell"


def test_an_unclosed_weekend_comes_before_the_kiln_and_the_van() -> None:
    """What was sold has to be known before the next packing."""
    facts = replace(WELL, unclosed=SECOND, waiting_firing=(7, 7), lists_written=0, lists_loaded=0)
    assert [thing.what for thing in things(facts)] == [
        "Count and close Nov 28 – 29, 2026",
        "Unload firing 7",
        "Decide what to bring on Dec 5 – 6, 2026",
    ]


def test_a_written_list_asks_for_the_van() -> None:
    """A list that is written and not loaded is the next thing."""
    assert next_thing(replace(WELL, lists_loaded=0, open_lists=1)).what == (
        "Load the van for Dec 5 – 6, 2026"
    )


def test_a_second_list_that_is_not_loaded_is_told_though_the_first_one_is() -> None:
    """Half a van is not a loaded van."""
    facts = replace(WELL, lists_written=2, lists_loaded=1, open_lists=1)
    assert next_thing(facts).what == "Load the van for Dec 5 – 6, 2026"


def test_what_is_earned_or_not_chosen_is_told_after_the_weekend_s_own_things() -> None:
    """No earned piece is forgotten, and the van is packed first."""
    facts = replace(WELL, lists_loaded=0, open_lists=1, choices_missing=2, earners=1)
    assert [(thing.what, thing.url_name) for thing in things(facts)] == [
        ("Load the van for Dec 5 – 6, 2026", "fairs:index"),
        ("2 promises wait for choices", "supporters:making"),
        ("A supporter has earned a piece", "supporters:earned"),
    ]
    assert next_thing(replace(WELL, earners=3)).what == "3 supporters have earned a piece"


def test_when_all_is_done_it_says_so() -> None:
    """Nothing is made up to do."""
    assert next_thing(WELL).what == "Nothing stands in the way of Dec 5 – 6, 2026"
    assert next_thing(replace(WELL, coming=None)).what == "The season is done"


def test_how_far_off_a_day_is_is_said_as_people_say_it() -> None:
    """Today, tomorrow, in three days."""
    assert days_until(WELL, WEDNESDAY) == "today"
    assert days_until(WELL, datetime.date(2026, 12, 3)) == "tomorrow"
    assert days_until(WELL, THIRD.first_day) == "in 3 days"
