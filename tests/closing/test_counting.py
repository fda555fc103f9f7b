"""Counting pots and cash, and saying why."""

import pytest
from django.db import IntegrityError, transaction

from tests.closing.makers import SATURDAY_NOON, SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.errors import CountedMeanwhile, NothingToExplain
from vendor.closing.models import CashCount, StallCount
from vendor.fairs.errors import WeekendClosed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.errors import KeyReused
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.sells(ware, 3)
    return ware


def test_a_count_stands_beside_what_was_expected(stall: Stall, tumbler: Ware) -> None:
    """Seven expected, six counted: one is missing, and a reason is owed."""
    stall.counts(tumbler, 6)
    line = stall.line(tumbler)
    assert line is not None
    assert (line.expected, line.counted, line.variance, line.is_open) == (7, 6, -1, True)


def test_a_count_sent_twice_is_one_count(stall: Stall, tumbler: Ware) -> None:
    """A thumb that taps twice, or a phone that sends again, counts once."""
    first = stall.counts(tumbler, 6, key="k", saw=0)
    assert stall.counts(tumbler, 6, key="k", saw=0) == first
    assert StallCount.objects.count() == 1


def test_a_helper_counts(stall: Stall, tumbler: Ware, helper: User) -> None:
    """Counting is not the owner's alone, and it is written down who did."""
    assert stall.counts(tumbler, 7, who=helper).made_by == helper


def test_two_devices_do_not_overwrite_each_other(stall: Stall, tumbler: Ware, helper: User) -> None:
    """The later one is told who counted what, and theirs stands until somebody chooses."""
    stall.counts(tumbler, 7, saw=0, who=helper)
    with pytest.raises(CountedMeanwhile, match="Robin|helper") as refused:
        stall.counts(tumbler, 6, saw=0)
    assert refused.value.standing.made_by == helper
    line = stall.line(tumbler)
    assert line is not None
    assert line.counted == 7
    assert stall.counts(tumbler, 6, saw=1).version == 2


def test_two_devices_that_agree_need_no_choice(stall: Stall, tumbler: Ware) -> None:
    """The same number from another device is the same count."""
    first = stall.counts(tumbler, 7, saw=0)
    assert stall.counts(tumbler, 7, saw=0) == first


def test_the_database_itself_lets_no_count_be_overwritten(stall: Stall, tumbler: Ware) -> None:
    """Neither a second of the same version, nor a change, nor a deletion."""
    first = stall.counts(tumbler, 7)
    values = {
        "weekend": stall.first, "ware": tumbler, "grade": "first", "version": 1, "counted": 5,
        "made_by": stall.owner, "made_at": SUNDAY_NIGHT, "key": "other",
    }  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        StallCount.objects.create(**values)
    with pytest.raises(IntegrityError), transaction.atomic():
        StallCount.objects.update(counted=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        first.delete()


@pytest.mark.parametrize("counted", [-1, 100_001, 10**15])
def test_impossible_counts_are_refused(stall: Stall, tumbler: Ware, counted: int) -> None:
    """Below nothing, or more pots than any stall holds."""
    with pytest.raises(Refused, match="can't be right"):
        stall.counts(tumbler, counted)


def test_there_is_no_such_ware(stall: Stall, tumbler: Ware) -> None:
    """A ware or grade that does not exist can't be counted."""
    with pytest.raises(Refused, match="no such ware"):
        stall.counts(tumbler, 1, grade="third")
    with pytest.raises(Refused, match="no such ware"):
        stall.counts(Ware(pk=987_654), 1)


def test_ware_that_nobody_expected_can_be_counted(stall: Stall, tumbler: Ware) -> None:
    """It was packed without being written down: it is there all the same."""
    stray = WareFactory()
    stall.counts(stray, 2)
    line = stall.line(stray)
    assert line is not None
    assert (line.expected, line.variance) == (0, 2)


def test_a_reason_explains_the_difference_that_stood_when_it_was_given(
    stall: Stall, tumbler: Ware
) -> None:
    """A sale that arrives late changes the difference: the reason no longer explains it."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "  broken  at setting up ")
    line = stall.line(tumbler)
    assert line is not None
    assert (line.reason, line.is_open) == ("broken at setting up", False)
    stall.sells(tumbler, 2, at=SATURDAY_NOON)
    late = stall.line(tumbler)
    assert late is not None
    assert (late.variance, late.reason, late.is_open) == (1, "", True)


def test_counting_again_asks_for_the_reason_again(stall: Stall, tumbler: Ware) -> None:
    """The reason belongs to the count it was given for."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "broken")
    stall.counts(tumbler, 5)
    line = stall.line(tumbler)
    assert line is not None
    assert line.is_open


def test_found_pieces_owe_a_reason_even_where_the_count_agrees(stall: Stall, tumbler: Ware) -> None:
    """Sold past the recorded count: eleven of ten. What was found has to be explained."""
    stall.sells(tumbler, 8)
    stall.counts(tumbler, 0)
    line = stall.line(tumbler)
    assert line is not None
    assert (line.pots.found, line.variance, line.is_open) == (1, 0, True)


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201])
def test_a_reason_has_words(stall: Stall, tumbler: Ware, reason: str) -> None:
    """Blanks explain nothing, and a novel does not fit."""
    stall.counts(tumbler, 6)
    with pytest.raises(Refused):
        stall.explains(tumbler, reason)


def test_what_is_not_counted_cannot_be_explained(stall: Stall, tumbler: Ware) -> None:
    """First the count, then the reason; for the cash too."""
    with pytest.raises(NothingToExplain):
        stall.explains(tumbler, "broken")
    with pytest.raises(NothingToExplain):
        actions.explain_cash(
            key="k", weekend=stall.first, reason="?", who=stall.owner, now=SUNDAY_NIGHT
        )


def test_a_reason_sent_again_is_kept_once_and_another_is_refused(stall: Stall) -> None:
    """The page was open twice: what was said first stands."""
    cash(stall, counted=100_00)
    said = {"key": "k", "weekend": stall.first, "who": stall.owner, "now": SUNDAY_NIGHT}
    first = actions.explain_cash(reason="wrong change", **said)  # type: ignore[arg-type]
    assert actions.explain_cash(reason="wrong change", **said) == first  # type: ignore[arg-type]
    with pytest.raises(KeyReused):
        actions.explain_cash(reason="a gift", **said)  # type: ignore[arg-type]
    assert CashCount.objects.filter(reason="wrong change").count() == 1


def cash(stall: Stall, **more: object) -> CashCount:
    said = {"key": "c", "saw": 0, "who": stall.owner, "now": SUNDAY_NIGHT, **more}
    return actions.count_cash(weekend=stall.first, **said)  # type: ignore[arg-type]


def test_cash_is_counted_in_total_or_by_note_and_coin(stall: Stall) -> None:
    """Two twenties, three fives and four quarters are 56.00."""
    assert cash(stall, pieces={20_00: 2, 5_00: 3, 25: 4, 1: 0}).counted == 56_00
    assert CashCount.objects.get().pieces == {"2000": 2, "500": 3, "25": 4}
    assert cash(stall, key="d", counted=57_00, saw=1).version == 2


def test_a_total_that_contradicts_its_coins_is_refused(stall: Stall) -> None:
    """Nobody can tell which of the two is meant."""
    with pytest.raises(Refused, match=r"come to \$56.00, and the total says \$55.00"):
        cash(stall, counted=55_00, pieces={20_00: 2, 5_00: 3, 25: 4})


@pytest.mark.parametrize("said", [{"counted": -1}, {"counted": 10**12}, {"pieces": {100: -1}}])
def test_impossible_cash_is_refused(stall: Stall, said: dict[str, object]) -> None:
    """Below nothing, or more than all the money there is."""
    with pytest.raises(Refused):
        cash(stall, **said)


def test_an_empty_till_is_a_count_too(stall: Stall) -> None:
    """Nothing counted is not the same as not counted."""
    assert cash(stall, counted=0).counted == 0


def test_of_two_cash_counts_the_later_is_asked(stall: Stall, helper: User) -> None:
    """As with pots: who counted what is said in the currency."""
    cash(stall, counted=80_00, who=helper)
    with pytest.raises(CountedMeanwhile, match=r"counted \$80.00 meanwhile, and you .* \$81.00"):
        cash(stall, key="d", counted=81_00)


def test_nothing_is_counted_in_a_closed_weekend(stall: Stall, tumbler: Ware) -> None:
    """What was counted is in the statement; the same count sent again still answers."""
    first = stall.counts(tumbler, 7, key="k", saw=0)
    stall.counts_cash(0)
    stall.closes()
    assert stall.counts(tumbler, 7, key="k", saw=0) == first
    with pytest.raises(WeekendClosed):
        stall.counts(tumbler, 6, saw=1)
    with pytest.raises(WeekendClosed):
        stall.explains(tumbler, "late")
    with pytest.raises(WeekendClosed):
        stall.counts_cash(1)
