"""Counting one by one: each piece adds one, once, and can be taken back."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from tests.closing.going import AGAIN, HELPERS, ends, of, outcomes, scans, total
from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing.checklist import Kind, still_open
from vendor.closing.models import CountPass, StallCount
from vendor.closing.scanning import Outcome
from vendor.fairs.errors import WeekendClosed
from vendor.house.models import User
from vendor.ledger import holds
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.sells(ware, 3)
    return ware


def test_each_scan_adds_one_and_stays_blind_until_the_pass_is_ended(
    stall: Stall, tumbler: Ware
) -> None:
    """Six of seven: nothing is counted, nothing differs before the end, and then one is missing."""
    taken = scans(stall, *[of(tumbler) for _ in range(6)])
    line = stall.line(tumbler)
    assert line is not None
    assert line.running is not None
    assert (line.running.counted, line.count, line.variance, line.difference) == (6, None, None, "")
    kinds = [item.kind for item in still_open(stall.first, now=SUNDAY_NIGHT)]
    assert Kind.COUNTING in kinds
    assert Kind.UNCOUNTED not in kinds
    ends(stall, taken)
    after = stall.line(tumbler)
    assert after is not None
    assert (after.counted, after.variance, after.is_open) == (6, -1, True)


def test_a_batch_sent_twice_counts_once(stall: Stall, tumbler: Ware) -> None:
    """The answer got lost: the same keys again change nothing, whatever came between."""
    sent = [of(tumbler) for _ in range(3)]
    first = scans(stall, *sent)
    scans(stall, of(tumbler))
    assert outcomes(scans(stall, *sent)) == outcomes(first) == [Outcome.COUNTED] * 3
    assert total(stall, tumbler) == 4


def test_the_last_scan_is_taken_back(stall: Stall, tumbler: Ware) -> None:
    """Once, however often it is sent; with nothing left it is as if nothing had been counted."""
    one, two = of(tumbler), of(tumbler)
    scans(stall, one, two)
    undo = of(tumbler, undoes=two.key)
    for _ in range(2):
        scans(stall, undo)
    assert total(stall, tumbler) == 1
    scans(stall, of(tumbler, undoes=one.key), of(tumbler, undoes=one.key))
    line = stall.line(tumbler)
    assert line is not None
    assert (line.count, line.running, line.version) == (None, None, 4)
    assert StallCount.objects.latest("version").counted is None
    stall.counts(tumbler, 7)
    assert total(stall, tumbler) == 7


def test_taking_back_a_count_that_replaced_brings_back_what_it_replaced(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """Also in the very batch that counted it."""
    stall.counts(tumbler, 7, who=helper)
    slip = of(tumbler)
    scans(stall, slip, of(tumbler, undoes=slip.key), going=AGAIN)
    assert total(stall, tumbler) == 7
    line = stall.line(tumbler)
    assert line is not None
    assert line.running is None


def test_nothing_of_another_pass_is_taken_back(stall: Stall, tumbler: Ware, helper: User) -> None:
    """Each person undoes their own."""
    one = of(tumbler)
    scans(stall, one)
    undo = of(tumbler, undoes=one.key)
    assert outcomes(scans(stall, undo, going=HELPERS, who=helper)) == [Outcome.REFUSED]
    assert total(stall, tumbler) == 1


@pytest.fixture
def hold_one(stall: Stall, tumbler: Ware) -> Callable[[], Any]:
    """A function that holds one tumbler on the stall."""
    return lambda: holds.hold(
        key="h", ware_id=tumbler.pk, at=stall.place, purpose="commitment", label="Promise 12",
        who=stall.owner, now=SUNDAY_NIGHT,
    )  # fmt: skip


def test_a_held_piece_is_counted_as_what_it_is_and_only_once(
    stall: Stall, tumbler: Ware, hold_one: Callable[[], Any]
) -> None:
    """It stands on the stall, so it counts; its tag a second time is told."""
    hold = hold_one()
    taken = scans(stall, of(tumbler), *[of(tumbler, hold_id=hold.pk) for _ in range(2)])
    assert outcomes(taken) == [Outcome.COUNTED, Outcome.COUNTED, Outcome.REFUSED]
    assert "Promise 12 is counted already" in taken.answers[2].reason
    line = stall.line(tumbler)
    assert line is not None
    assert line.tally is not None
    assert (line.tally.counted, line.tally.held) == (2, (hold.pk,))
    wrong = of(WareFactory(), hold_id=hold.pk)
    assert "not held here any more" in scans(stall, wrong).answers[0].reason


def test_the_database_itself_keeps_counts_that_add_up(stall: Stall, tumbler: Ware) -> None:
    """Not more added than stands, nothing undone twice, no number without its act."""
    one = of(tumbler)
    taken = scans(stall, one)
    row = StallCount.objects.get(key=one.key)
    values: dict[str, Any] = {
        "weekend": stall.first, "ware": tumbler, "grade": "first", "version": 2, "key": "k",
        "made_by": stall.owner, "made_at": SUNDAY_NIGHT, "in_pass": taken.in_pass,
    }  # fmt: skip
    for wrong in ({"counted": 1, "more": 2}, {"counted": None}, {"counted": 1, "version": 1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            StallCount.objects.create(**(values | wrong))
    StallCount.objects.create(**values, counted=None, undoes=row)
    with pytest.raises(IntegrityError), transaction.atomic():
        StallCount.objects.create(**(values | {"version": 3, "key": "l"}), counted=0, undoes=row)
    with pytest.raises(IntegrityError), transaction.atomic():
        CountPass.objects.filter(pk=taken.in_pass.pk).update(ended_at=SUNDAY_NIGHT)


def test_a_batch_asks_a_fixed_number_of_times(stall: Stall) -> None:
    """However many pieces and kinds are in it."""
    asked = []
    for kinds in (1, 8):
        ware = [WareFactory() for _ in range(kinds)]
        with CaptureQueriesContext(
            connection,
        ) as queries:
            scans(stall, *[of(each) for each in ware * 5])
        asked.append(len(queries))
        scans(stall, of(ware[0]))
    assert asked[1] <= asked[0]


def test_nothing_is_scanned_in_a_closed_weekend(stall: Stall) -> None:
    """What was counted is in the statement."""
    stall.counts_cash(0)
    stall.closes()
    with pytest.raises(WeekendClosed):
        scans(stall, of(WareFactory()))
