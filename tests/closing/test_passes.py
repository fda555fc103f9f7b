"""Passes beside one another: what adds, what replaces, and what is asked about."""

import pytest

from tests.closing.going import AGAIN, ELSEWHERE, HELPERS, ends, of, outcomes, scans, total
from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.scanning import Beside, Outcome
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.sells(ware, 3)
    return ware


def test_another_corner_adds_and_counting_again_replaces(stall: Stall, tumbler: Ware) -> None:
    """Six on the table and four behind are ten; seven counted again are seven."""
    ends(stall, scans(stall, *[of(tumbler) for _ in range(6)]))
    ends(stall, scans(stall, *[of(tumbler) for _ in range(4)], going=ELSEWHERE))
    line = stall.line(tumbler)
    assert line is not None
    assert line.count is not None
    told = [(part.pieces, part.where) for part in line.count.parts]
    assert (line.counted, told) == (10, [(6, ""), (4, "The back shelf")])
    scans(stall, *[of(tumbler) for _ in range(7)], going=AGAIN)
    assert total(stall, tumbler) == 7


def test_what_somebody_else_counted_is_asked_about(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """Neither added nor replaced by guessing; other ware of the same batch is counted."""
    bowl = WareFactory()
    stall.counts(tumbler, 7, who=helper)
    mine = of(tumbler)
    taken = scans(stall, mine, of(bowl))
    assert outcomes(taken) == [Outcome.ASKED, Outcome.COUNTED]
    assert "Counted already by Robin" in taken.answers[0].reason
    assert "7" not in taken.answers[0].reason
    assert (total(stall, tumbler), total(stall, bowl)) == (7, 1)


@pytest.mark.parametrize(("beside", "counted"), [(Beside.ELSEWHERE, 7 + 3), (Beside.AGAIN, 3)])
def test_the_answer_holds_for_the_rest_of_the_pass(
    stall: Stall, tumbler: Ware, helper: User, beside: Beside, counted: int
) -> None:
    """Said once of a ware, however many of it follow."""
    stall.counts(tumbler, 7, who=helper)
    scans(stall, *[of(tumbler, beside=beside) for _ in range(2)])
    assert outcomes(scans(stall, of(tumbler))) == [Outcome.COUNTED]
    assert total(stall, tumbler) == counted


def test_two_devices_scan_at_once_and_neither_overwrites_the_other(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """The helper's stand elsewhere; from then on both passes add up in any order."""
    scans(stall, of(tumbler))
    scans(stall, of(tumbler, beside=Beside.ELSEWHERE), going=HELPERS, who=helper)
    for _ in range(2):
        scans(stall, of(tumbler))
        scans(stall, of(tumbler), going=HELPERS, who=helper)
    assert total(stall, tumbler) == 6
    with pytest.raises(CountedMeanwhile, match="counted 6 meanwhile, and you counted 5"):
        stall.counts(tumbler, 5, saw=0)


def test_after_somebody_counted_again_a_pass_begins_anew(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """What was scanned before is replaced; the next scan asks, and is the pass's first."""
    scans(stall, of(tumbler), of(tumbler))
    stall.counts(tumbler, 5, who=helper)
    assert outcomes(scans(stall, of(tumbler))) == [Outcome.ASKED]
    scans(stall, of(tumbler, beside=Beside.ELSEWHERE))
    assert total(stall, tumbler) == 6


def test_only_its_own_person_goes_on_with_a_pass_and_ends_it(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """The owner may end any; ended twice it stays as it was."""
    taken = scans(stall, of(tumbler))
    with pytest.raises(Refused, match="begun by somebody else"):
        scans(stall, of(tumbler), who=helper)
    with pytest.raises(Refused, match="or the owner ends pass 1"):
        ends(stall, taken, who=helper)
    theirs = scans(stall, of(tumbler, beside=Beside.AGAIN), going=HELPERS, who=helper)
    assert theirs.in_pass.number == 2
    assert ends(stall, theirs).ended_by == stall.owner
    assert ends(stall, theirs, who=helper).ended_by == stall.owner
    with pytest.raises(Refused, match="no such pass"):
        actions.end_pass(weekend=stall.first, number=9, who=helper, now=SUNDAY_NIGHT)


def test_a_number_typed_for_another_corner_adds_and_follows_on_anything(
    stall: Stall, tumbler: Ware, helper: User
) -> None:
    """Six on the table; four on the back shelf, sent twice, and one in a box."""
    stall.counts(tumbler, 6)
    for key, pieces, where in (("a", 4, " The back  shelf"), ("a", 4, ""), ("b", 1, "A box")):
        actions.count_elsewhere(
            key=key, weekend=stall.first, ware_id=tumbler.pk, grade="first", pieces=pieces,
            where=where, who=helper, now=SUNDAY_NIGHT,
        )  # fmt: skip
    line = stall.line(tumbler)
    assert line is not None
    assert line.count is not None
    assert [(part.pieces, str(part.who), part.where) for part in line.count.parts] == [
        (6, "Tansy", ""), (4, "Robin", "The back shelf"), (1, "Robin", "A box"),
    ]  # fmt: skip
    assert (line.counted, line.variance) == (11, 4)
    with pytest.raises(Refused, match="None elsewhere adds nothing"):
        actions.count_elsewhere(
            key="c", weekend=stall.first, ware_id=tumbler.pk, grade="first", pieces=0,
            who=helper, now=SUNDAY_NIGHT,
        )  # fmt: skip
