"""How a shortage ends: worked by hand on plain days and pieces, and as properties."""

import datetime

from hypothesis import given
from hypothesis import strategies as st

from vendor.restock.making import Need, Pace, Source, Task, Until, Way, tasks

TODAY = datetime.date(2026, 12, 2)
PACE = Pace(kiln=2, bisque=6, thrown=14)
FRIDAYS = [Until(3, datetime.date(2026, 12, 4)), Until(4, datetime.date(2026, 12, 11)),
           Until(5, datetime.date(2026, 12, 18))]  # fmt: skip
TUMBLER, BOWL = 1, 2


def day(number: int) -> datetime.date:
    """Return a day of December."""
    return datetime.date(2026, 12, number)


def ends(
    *needs: Need, sources: list[Source] | None = None, pace: Pace = PACE
) -> dict[int, list[Task]]:
    """Return how shortages end."""
    return tasks(needs, weekends=FRIDAYS, sources=sources or [], pace=pace, today=TODAY)


def test_from_the_wheel_there_is_a_day_or_it_is_too_late() -> None:
    """Fourteen days: by 4 December for the 18th; the 27th of November is over for the 11th."""
    assert ends(Need(7, TUMBLER, 3400, [2, 3, 4])) == {
        7: [
            Task(Way.LATE, 2, 3),
            Task(Way.LATE, 3, 4),
            Task(Way.THROW, 4, 5, day(4)),
        ]
    }


def test_glazed_ware_is_fired_two_days_before_it_has_to_be_out() -> None:
    """From bisque or glazed: by the 2nd for the 4th; what is over serves the next weekend."""
    board = Source(Way.GLAZE, 5, day(4), form=TUMBLER)
    assert ends(Need(7, TUMBLER, 3400, [3, 3, 0]), sources=[board]) == {
        7: [
            Task(Way.GLAZE, 3, 3, day(2)),
            Task(Way.GLAZE, 2, 4, day(9)),
            Task(Way.LATE, 1, 4),
        ]
    }


def test_raw_ware_goes_through_both_kilns() -> None:
    """Six days from bisque and two in the bisque kiln: by the 3rd for the 11th, not for the 4th."""
    board = Source(Way.BISQUE, 9, day(10), form=TUMBLER)
    assert ends(Need(7, TUMBLER, 3400, [1, 2, 0]), sources=[board]) == {
        7: [Task(Way.LATE, 1, 3), Task(Way.BISQUE, 2, 4, day(3))]
    }


def test_the_kiln_comes_first_and_helps_its_own_ware_alone() -> None:
    """Celadon in the kiln is no shino."""
    kiln = Source(Way.KILN, 2, TODAY, ware=7)
    board = Source(Way.GLAZE, 9, day(4), form=TUMBLER)
    found = ends(
        Need(7, TUMBLER, 3400, [3, 0, 0]), Need(8, TUMBLER, 3400, [1, 0, 0]), sources=[board, kiln]
    )
    assert found == {
        7: [Task(Way.KILN, 2, 3), Task(Way.GLAZE, 1, 3, day(2))],
        8: [Task(Way.GLAZE, 1, 3, day(2))],
    }


def test_the_nearest_weekend_is_helped_first_and_in_it_the_dearest() -> None:
    """One bisque tumbler: the celadon of 34 dollars before the ash of 30; another form is none."""
    board = Source(Way.GLAZE, 1, day(4), form=TUMBLER)
    found = ends(
        Need(7, TUMBLER, 3000, [1, 0, 0]),
        Need(8, TUMBLER, 3400, [1, 1, 0]),
        Need(9, BOWL, 9900, [1, 0, 0]),
        sources=[board],
    )
    assert found[8][0] == Task(Way.GLAZE, 1, 3, day(2))
    assert [each.way for each in (found[7][0], found[8][1], found[9][0])] == [Way.LATE] * 3


def test_two_of_one_price_share_what_there_is() -> None:
    """Five bisque tumblers for four celadon and three shino: three and two."""
    board = Source(Way.GLAZE, 5, day(4), form=TUMBLER)
    found = ends(
        Need(7, TUMBLER, 3400, [4, 0, 0]), Need(8, TUMBLER, 3400, [3, 0, 0]), sources=[board]
    )
    assert [found[ware][0].pieces for ware in (7, 8)] == [3, 2]


def test_what_was_never_measured_has_no_day_and_is_never_too_late() -> None:
    """Nobody can say so yet."""
    board = Source(Way.BISQUE, 1, None, form=TUMBLER)
    found = ends(Need(7, TUMBLER, 3400, [2, 0, 0]), sources=[board], pace=Pace(kiln=2))
    assert found == {7: [Task(Way.BISQUE, 1, 3), Task(Way.THROW, 1, 3)]}


few = st.integers(0, 6)
needs = st.lists(
    st.builds(
        Need, st.integers(1, 4), st.integers(1, 2), st.integers(100, 400),
        st.tuples(few, few, few),
    ),
    max_size=4,
    unique_by=lambda need: need.ware,
)  # fmt: skip
days = st.none() | st.dates(datetime.date(2026, 11, 20), datetime.date(2026, 12, 24))
boards = st.lists(
    st.builds(Source, st.sampled_from([Way.GLAZE, Way.BISQUE]), few, days, form=st.integers(1, 2))
    | st.builds(Source, st.just(Way.KILN), few, days, ware=st.integers(1, 4)),
    max_size=5,
)
paces = st.builds(Pace, *([st.none() | st.integers(0, 20)] * 3))


@given(needs, boards, paces)
def test_every_piece_that_is_short_ends_in_one_way(
    wanted: list[Need], sources: list[Source], pace: Pace
) -> None:
    """None is lost, none is told twice, and no more is taken of the boards than stands there."""
    there = sum(source.pieces for source in sources)
    found = ends(*wanted, sources=sources, pace=pace)
    for need in wanted:
        told = found.get(need.ware, [])
        for until, pieces in zip(FRIDAYS, need.pieces, strict=True):
            assert sum(task.pieces for task in told if task.weekend == until.number) == pieces
    every = [task for each in found.values() for task in each]
    from_boards = sum(t.pieces for t in every if t.way not in {Way.THROW, Way.LATE})
    assert from_boards == there - sum(source.pieces for source in sources)
    assert all(task.pieces > 0 for task in every)
    assert all(task.by >= TODAY for task in every if task.way is Way.THROW and task.by)
