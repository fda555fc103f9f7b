"""Several devices at once: one count holds at a time, and one statement is written."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from tests.closing.makers import SUNDAY_NIGHT, Stall
from tests.factories import WareFactory
from vendor.closing import actions
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.models import Closing, StallCount
from vendor.house.errors import Refused
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry

pytestmark = pytest.mark.django_db(transaction=True)
DEVICES = 6


def at_once(act: Callable[[int], object]) -> list[object]:
    """Let every device act at the same time; return what each got, a refusal too."""

    def on_device(number: int) -> object:
        try:
            return act(number)
        except Refused as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(DEVICES) as pool:
        return list(pool.map(on_device, range(DEVICES)))


def test_of_six_first_counts_one_is_the_first(stall: Stall) -> None:
    """Each found another number; five are told of the one that came first."""
    ware = WareFactory()
    stall.packs(ware, 10)
    answers = at_once(
        lambda number: actions.count_ware(
            key=f"device-{number}", weekend=stall.first, ware_id=ware.pk, grade="first",
            counted=number, saw=0, who=stall.owner, now=SUNDAY_NIGHT,
        )
    )  # fmt: skip
    assert sum(isinstance(answer, CountedMeanwhile) for answer in answers) == DEVICES - 1
    assert StallCount.objects.count() == 1


def test_six_closings_at_once_write_one_statement(stall: Stall) -> None:
    """With one correction, and the stall as it was counted."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.counts(ware, 8)
    stall.explains(ware, "two fell")
    stall.counts_cash(0)
    answers = at_once(lambda number: stall.closes(key=f"device-{number}").number)
    assert answers == [1] * DEVICES
    assert Closing.objects.count() == 1
    assert Entry.objects.filter(kind="correction").count() == 1
    assert audit() == []
