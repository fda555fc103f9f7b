"""Days between stages: medians by hand, of plain days and of the studio's own batches."""

import datetime

import pytest

from tests.factories import FormFactory, WareFactory
from tests.firings.boards import MONDAY, YESTERDAY, batch, loaded, moved
from tests.firings.kiln import TODAY, count, unloaded
from vendor.firings import boards
from vendor.firings.durations import OUT, Durations, Measured, measure
from vendor.firings.models import Stage
from vendor.house.dates import said_as_by
from vendor.house.models import Studio

THROWN, TRIMMED, DRY, BISQUE, GLAZED = Stage


def days(**after: int) -> dict[int, datetime.date]:
    """Return the days on which stages were reached, so many days after Monday."""
    numbers = {stage.name.lower(): int(stage) for stage in Stage} | {"out": OUT}
    return {numbers[name]: MONDAY + datetime.timedelta(days=n) for name, n in after.items()}


def test_the_median_of_three_batches_is_the_middle_one() -> None:
    """2, 3 and 10 days: one slow batch makes no rule."""
    found = measure([days(thrown=0, trimmed=n) for n in (3, 10, 2)])
    assert found.between(THROWN, TRIMMED) == Measured(days=3, batches=3)


def test_the_median_of_two_lies_between_and_a_half_is_rounded_up() -> None:
    """2 and 5 days: three and a half, told as 4."""
    found = measure([days(thrown=0, trimmed=n) for n in (2, 5)])
    assert found.between(THROWN, TRIMMED) == Measured(days=4, batches=2)


def test_a_stage_that_was_passed_over_says_nothing() -> None:
    """Only the stretch between the stages that have a day is measured."""
    found = measure([days(thrown=0, bisque=9)])
    assert found.between(THROWN, TRIMMED) is None
    assert found.between(THROWN, BISQUE) == Measured(9, 1)


def test_what_is_to_go_is_measured_whole_or_put_together() -> None:
    """From the stage to the end where a batch tells; else the stretches, if all are known."""
    whole = measure([days(dry=0, bisque=4, glazed=9, out=12), days(dry=0, bisque=2)])
    assert whole.to_go(DRY) == 12
    parts = measure(
        [days(dry=0, bisque=4), days(bisque=0, glazed=5), days(glazed=0, out=3)]
    )  # fmt: skip
    assert parts.to_go(DRY) == 4 + 5 + 3
    assert parts.to_go(TRIMMED) is None
    assert Durations().to_go(GLAZED) is None


@pytest.mark.django_db
def test_the_studios_own_batches_are_measured_by_what_stands() -> None:
    """A step that was taken back doesn't count; the end is the day of the last unloading."""
    form = FormFactory()
    one = moved(batch(4, form), TRIMMED, on=MONDAY + datetime.timedelta(days=2))
    moved(one, GLAZED, on=YESTERDAY)
    unloaded(loaded((WareFactory(form=form), 4, one)))
    moved(batch(4, form), TRIMMED, on=MONDAY + datetime.timedelta(days=4))
    found = boards.measured()
    assert found.between(THROWN, TRIMMED) == Measured(3, 2)
    assert found.between(THROWN, GLAZED) == Measured((YESTERDAY - MONDAY).days, 1)
    assert found.between(THROWN, OUT) == Measured((TODAY - MONDAY).days, 1)
    assert found.to_go(TRIMMED) == (TODAY - MONDAY).days - 2


@pytest.mark.django_db
def test_what_is_on_the_way_is_told_by_form_and_by_ware_in_the_kiln() -> None:
    """At hand by its stage, in a kiln by its firing, from a batch or not."""
    form = FormFactory(name="Tumbler")
    ware, bowl = WareFactory(form=form), WareFactory()
    one = moved(batch(9, form), BISQUE, on=YESTERDAY)
    moved(batch(5, form), DRY)
    firing = loaded((ware, 6, one), (bowl, 2, None))
    found = [
        (each.form.name, each.ware, each.pieces, each.stage, each.days, each.batch, each.firing)
        for each in boards.on_the_way(TODAY)
    ]
    assert found == [
        (bowl.form.name, bowl, 2, GLAZED, 2, None, 1),
        ("Tumbler", ware, 6, GLAZED, 2, 1, 1),
        ("Tumbler", None, 3, BISQUE, 1, 1, None),
        ("Tumbler", None, 5, DRY, 0, 2, None),
    ]
    unloaded(firing, count(firing, 6), count(firing, 2, 0, 1))
    assert [each.pieces for each in boards.on_the_way(TODAY)] == [3, 5]


@pytest.mark.django_db
def test_boards_are_read_in_a_fixed_number_of_statements(django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    """However many batches there are."""
    for _ in range(2):
        form = FormFactory()
        one = batch(9, form, stage=GLAZED, since=YESTERDAY)
        loaded((WareFactory(form=form), 6, one))
        batch(3, form)
        with django_assert_num_queries(2), said_as_by(Studio()):
            rows = boards.batch_rows(over=False, today=TODAY)
        assert rows[-1].where.startswith("6 in Firing")
        with django_assert_num_queries(4), said_as_by(Studio()):
            assert boards.on_the_way(TODAY)
        with django_assert_num_queries(1), said_as_by(Studio()):
            assert boards.ready(bisque=False, today=TODAY)
