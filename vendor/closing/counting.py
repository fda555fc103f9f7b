"""Counting pots, and saying why a count differs; `actions` names these verbs.

Each count says which one it follows on (`saw`, 0 for the first): of two devices, the one that
comes later with another number is told of the other's, and chooses.
"""

import datetime
from typing import TypeVar

from django.db import transaction

from vendor.closing.errors import CountedMeanwhile, NothingToExplain
from vendor.closing.models import MOST_COUNTED, CashCount, Closing, Counting, StallCount
from vendor.closing.queries import line_of, stall_lines
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.ledger.posting import take_turn
from vendor.ware.models import Grade, Ware

AnyCount = TypeVar("AnyCount", StallCount, CashCount)


def count_ware(
    *,
    key: str,
    weekend: Weekend,
    ware_id: int,
    grade: str,
    counted: int,
    saw: int,
    who: User,
    now: datetime.datetime,
) -> StallCount:
    """Write down what was counted of one ware and grade, once by its key.

    Refuses (CountedMeanwhile) to follow on a count that the counter has not seen and that found
    another number; the same number again is agreed to.
    """
    if not 0 <= counted <= MOST_COUNTED:
        raise Refused(f"{counted} pieces can't be right. Nothing was saved: count again.")
    if grade not in Grade.values or not Ware.objects.filter(pk=ware_id).exists():
        raise Refused("There is no such ware. Nothing was saved: choose it from the list.")
    with transaction.atomic():
        before = before_it(StallCount, key, weekend)
        if before is not None:
            return before
        chain = StallCount.objects.filter(weekend=weekend, ware_id=ware_id, grade=grade)
        standing = chain.order_by("-version").first()
        if standing is not None and standing.version != saw:
            if standing.counted == counted:
                return standing
            raise CountedMeanwhile(standing, str(standing.counted), str(counted))
        return StallCount.objects.create(
            key=key, weekend=weekend, ware_id=ware_id, grade=grade, counted=counted,
            version=next_version(standing), made_by=who, made_at=now,
        )  # fmt: skip


def count_the_rest_as_none(
    *, key: str, weekend: Weekend, who: User, now: datetime.datetime
) -> list[StallCount]:
    """Write down that nothing stands there of all that is not counted yet, once by the key."""
    with transaction.atomic():
        take_turn()
        refuse_counting(weekend)
        return [
            count_ware(
                key=f"{key}-{line.ware.pk}-{line.grade}", weekend=weekend, ware_id=line.ware.pk,
                grade=line.grade, counted=0, saw=0, who=who, now=now,
            )
            for line in stall_lines(weekend)
            if line.count is None
        ]  # fmt: skip


def explain_ware(
    *,
    key: str,
    weekend: Weekend,
    ware_id: int,
    grade: str,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> StallCount:
    """Say why the count of one ware and grade differs, as it does now."""
    with transaction.atomic():
        before = before_it(StallCount, key, weekend)
        if before is not None:
            return before
        line = line_of(weekend, ware_id, grade)
        if line is None or line.count is None:
            raise NothingToExplain("Count it first, then say why it differs. Nothing was saved.")
        return StallCount.objects.create(
            key=key, weekend=weekend, ware_id=ware_id, grade=grade, counted=line.count.counted,
            version=line.version + 1, reason=reason_of(reason), explains=line.difference,
            made_by=who, made_at=now,
        )  # fmt: skip


def refuse_counting(weekend: Weekend) -> None:
    """Refuse a weekend that has its statement; call in your turn."""
    if Closing.objects.filter(weekend=weekend).exists():
        raise WeekendClosed(
            f"{weekend} is closed, and its counts are in its statement. Nothing was saved: "
            "enter a correction of the statement."
        )


def before_it(model: type[AnyCount], key: str, weekend: Weekend) -> AnyCount | None:
    """Take the turn, and return the count that this key has made already; refuse a closed one."""
    take_turn()
    before: AnyCount | None = model._default_manager.filter(key=key).first()
    if before is None:
        refuse_counting(weekend)
    return before


def next_version(standing: Counting | None) -> int:
    """Return which count comes after the one that stands."""
    return standing.version + 1 if standing is not None else 1
