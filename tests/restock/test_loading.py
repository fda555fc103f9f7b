"""What to load when the van or the free stock can't hold all that is wanted."""

import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.loading import Candidate, Limit, Load, plan_load
from vendor.restock.quantities import quantity_for
from vendor.restock.rates import Gamma

from .published import Table

# Certain demand makes sums that can be done by hand.
THREE = Table({3: 1.0})
# One in two asks for one piece, one in four for two, one in four for none.
SOME = Table({0: 0.25, 1: 0.5, 2: 0.25})


def tumbler(**changes: object) -> Candidate:
    """Make a ware of which three surely sell at 30.00, two units of room each."""
    facts: dict[str, object] = {
        "ware": 1,
        "demand": THREE,
        "price": 3000,
        "room": 2,
        "free": 10,
        "service_level": 0.8,
    }
    return Candidate(**{**facts, **changes})  # type: ignore[arg-type]


def brought(load: Load) -> dict[int, int]:
    """Pieces brought, by ware."""
    return {line.ware: line.bring for line in load.lines}


def test_all_that_is_wanted_comes_when_it_fits() -> None:
    """Three wanted, ten free, no end of room."""
    load = plan_load([tumbler()])
    (line,) = load.lines
    assert (line.wanted, line.bring, line.limit, line.gain) == (3, 3, Limit.NONE, 9000)
    assert (load.room, load.gain, load.most_missed) == (6, 9000, 0)


def test_no_more_comes_than_is_free() -> None:
    """Two free of three wanted."""
    (line,) = plan_load([tumbler(free=2)]).lines
    assert (line.bring, line.limit) == (2, Limit.STOCK)


def test_pieces_already_on_the_stall_are_not_brought_again() -> None:
    """One there: two more; five there: none, and nothing is taken back."""
    one, five = (plan_load([tumbler(there=there)]).lines[0] for there in (1, 5))
    assert (one.bring, one.limit, one.gain) == (2, Limit.NONE, 6000)
    assert (five.bring, five.limit, five.gain) == (0, Limit.THERE, 0)


def test_ware_that_nobody_wants_stays_home() -> None:
    """No demand: none wanted, and that is no limit."""
    (line,) = plan_load([tumbler(demand=Table({0: 1.0}))]).lines
    assert (line.wanted, line.bring, line.limit) == (0, 0, Limit.NONE)


def test_the_van_takes_what_earns_most_for_its_room() -> None:
    """Room for eight: tumblers earn 15.00 a unit, thimble jars 12.00, bowls 10.00."""
    jar = tumbler(ware=2, price=1200, room=1)
    bowl = tumbler(ware=3, price=4000, room=4)
    load = plan_load([bowl, jar, tumbler()], room=8)
    assert brought(load) == {1: 3, 2: 2, 3: 0}
    assert [line.limit for line in load.lines] == [Limit.NONE, Limit.ROOM, Limit.ROOM]
    assert (load.room, load.gain, load.most_missed) == (8, 11400, 0)


def test_later_pieces_of_a_ware_count_for_less() -> None:
    """A doubtful ware's first piece earns three quarters of its price, the second a quarter."""
    doubtful = tumbler(ware=1, demand=SOME, service_level=0.9)
    other = tumbler(ware=2, demand=Table({0: 0.5, 1: 0.5}), service_level=0.9)
    # 22.50, 15.00, 7.50 in this order.
    assert brought(plan_load([doubtful, other], room=2)) == {1: 1, 2: 0}
    assert brought(plan_load([doubtful, other], room=4)) == {1: 1, 2: 1}
    both = plan_load([doubtful, other], room=6)
    assert brought(both) == {1: 2, 2: 1}
    assert both.gain == 4500


def test_a_smaller_piece_fills_what_a_larger_one_leaves() -> None:
    """When the next best is too large, one that fits goes in, and the bound tells what is lost."""
    large = tumbler(ware=1, price=5001, room=5)
    small = tumbler(ware=2, price=900, room=1)
    load = plan_load([large, small], room=7)
    assert brought(load) == {1: 1, 2: 2}
    # 50.01 + 18.00; with a second large piece cut to fit it would be 70.014: 2.004 more, told as
    # 2.01 so that it is never too little.
    assert (load.gain, load.most_missed) == (6801, 201)


def test_ties_go_to_the_lower_ware_number_in_any_order() -> None:
    """Two equal wares, room for four pieces of six."""
    one, two = tumbler(ware=7), tumbler(ware=4)
    assert plan_load([one, two], room=8) == plan_load([two, one], room=8)
    assert brought(plan_load([one, two], room=8)) == {4: 3, 7: 1}


def test_a_full_van_takes_nothing() -> None:
    """No room: none brought, for want of room."""
    (line,) = plan_load([tumbler()], room=0).lines
    assert (line.bring, line.limit) == (0, Limit.ROOM)


def test_nothing_offered_is_nothing_loaded() -> None:
    """An empty shelf."""
    assert plan_load([], room=10) == Load((), 0, 0, 0)


def test_impossible_candidates_are_refused() -> None:
    """No room taken, a negative number, a ware twice."""
    for change in ({"room": 0}, {"price": -1}, {"free": -1}, {"there": -1}):
        with pytest.raises(ValueError, match="Room is above 0"):
            tumbler(**change)
    with pytest.raises(ValueError, match="once"):
        plan_load([tumbler(), tumbler()])


def candidates(*, equal_rooms: bool) -> st.SearchStrategy[list[Candidate]]:
    """Up to three wares with few pieces each, small enough to try all loads."""
    one = st.builds(
        Candidate,
        ware=st.integers(1, 9),
        demand=st.builds(lambda a, b: Gamma(a, b).predict(1), st.floats(0.3, 8), st.floats(0.5, 4)),
        price=st.integers(1, 9000),
        room=st.just(2) if equal_rooms else st.integers(1, 7),
        free=st.integers(0, 5),
        service_level=st.floats(0.1, 0.95),
        there=st.integers(0, 2),
    )
    return st.lists(one, max_size=3, unique_by=lambda each: each.ware)


def worth(candidate: Candidate, bring: int) -> float:
    """Sum what the pieces brought should add, straight from the definition."""
    start = candidate.there + 1
    return sum(candidate.price * candidate.demand.at_least(k) for k in range(start, start + bring))


def best_of_all(offered: list[Candidate], room: int) -> float:
    """Try every load within the same limits."""
    most = [
        max(0, min(each.free, quantity_for(each.demand, each.service_level) - each.there))
        for each in offered
    ]
    return max(
        sum(worth(each, bring) for each, bring in zip(offered, choice, strict=True))
        for choice in product(*(range(limit + 1) for limit in most))
        if sum(c.room * bring for c, bring in zip(offered, choice, strict=True)) <= room
    )


def value(load: Load, offered: list[Candidate]) -> float:
    """Sum what the load should add, straight from the definition."""
    counts = brought(load)
    return sum(worth(each, counts[each.ware]) for each in offered)


@given(candidates(equal_rooms=True), st.integers(0, 24))
def test_with_equal_rooms_no_other_load_earns_more(offered: list[Candidate], room: int) -> None:
    """Against every possible load."""
    load = plan_load(offered, room=room)
    assert value(load, offered) == pytest.approx(best_of_all(offered, room), abs=1e-6)


@given(candidates(equal_rooms=False), st.integers(0, 30))
def test_with_unequal_rooms_the_bound_holds(offered: list[Candidate], room: int) -> None:
    """The best of all loads earns no more than this one and what it may have missed."""
    load = plan_load(offered, room=room)
    best = best_of_all(offered, room)
    assert load.room <= room
    assert value(load, offered) <= best + 1e-6
    assert best <= value(load, offered) + load.most_missed + 1e-6
    assert load.gain == pytest.approx(value(load, offered), abs=0.51)


@given(candidates(equal_rooms=True), st.integers(0, 24), st.randoms())
def test_more_room_never_earns_less(
    offered: list[Candidate], room: int, chance: random.Random
) -> None:
    """Where all pieces take the same room; and the order of the wares makes no difference."""
    smaller = plan_load(offered, room=room)
    mixed = offered[:]
    chance.shuffle(mixed)
    assert plan_load(mixed, room=room) == smaller
    assert value(plan_load(offered, room=room + 2), offered) >= value(smaller, offered) - 1e-9
