"""Counting pots, and saying why a count differs; `actions` names these verbs.

Each count says which one it follows on (`saw`, 0 for the first): of two devices, the one that
comes later with another number is told of the other's, and chooses.
"""

import datetime
from typing import TypeVar

from django.db import transaction

from vendor.closing.errors import CountedMeanwhile, NothingToExplain
from vendor.closing.models import (
    MOST_COUNTED,
    CashCount,
    Closing,
    Counting,
    CountPass,
    StallCount,
)
from vendor.closing.queries import line_of, stall_lines
from vendor.closing.tally import tally_of
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User, new_key
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
    """Write down that so many are all there is of one ware and grade, once by its key.

    Refuses (CountedMeanwhile) to follow on a count that the counter has not seen and that found
    another number; the same number again is agreed to.
    """
    _refuse_impossible(counted, ware_id, grade)
    with transaction.atomic():
        before = before_it(StallCount, key, weekend)
        if before is not None:
            return before
        chain = chain_of(weekend, ware_id, grade)
        standing = tally_of(chain)
        if standing is not None and standing.parts and standing.version != saw:
            if standing.counted == counted:
                return standing.last
            raise CountedMeanwhile(standing.last, str(standing.counted), str(counted))
        return StallCount.objects.create(
            key=key, weekend=weekend, ware_id=ware_id, grade=grade, counted=counted,
            version=len(chain) + 1, made_by=who, made_at=now,
        )  # fmt: skip


def count_elsewhere(
    *,
    key: str,
    weekend: Weekend,
    ware_id: int,
    grade: str,
    pieces: int,
    where: str = "",
    who: User,
    now: datetime.datetime,
) -> StallCount:
    """Write down that so many stand in another corner, besides what is counted, once by its key.

    It follows on whatever is counted by then: what adds up can't overwrite anything. `where` names
    the corner, up to 40 letters.
    """
    _refuse_impossible(pieces, ware_id, grade)
    if not pieces:
        raise Refused("None elsewhere adds nothing. Nothing was saved: type how many stand there.")
    with transaction.atomic():
        before = before_it(StallCount, key, weekend)
        if before is not None:
            return before
        chain = chain_of(weekend, ware_id, grade)
        standing = tally_of(chain)
        counted = (standing.counted if standing else 0) + pieces
        _refuse_impossible(counted, ware_id, grade)
        corner = corner_of(weekend, where=" ".join(where.split())[:40], who=who, now=now)
        return StallCount.objects.create(
            key=key, weekend=weekend, ware_id=ware_id, grade=grade, counted=counted, more=pieces,
            in_pass=corner, version=len(chain) + 1, made_by=who, made_at=now,
        )  # fmt: skip


def count_the_rest_as_none(
    *, key: str, weekend: Weekend, who: User, now: datetime.datetime
) -> list[StallCount]:
    """Write down that nothing stands there of all that is not counted yet, once by the key.

    What somebody is counting at the moment is left to them. A fixed number of statements.
    """
    with transaction.atomic():
        take_turn()
        refuse_counting(weekend)
        return StallCount.objects.bulk_create(
            StallCount(
                key=f"{key}-{line.ware.pk}-{line.grade}", weekend=weekend, ware=line.ware,
                grade=line.grade, counted=0, version=line.version + 1, made_by=who, made_at=now,
            )
            for line in stall_lines(weekend)
            if line.count is None and line.running is None
        )  # fmt: skip


def chain_of(weekend: Weekend, ware_id: int, grade: str) -> list[StallCount]:
    """Return every act of counting one ware and grade, in their order (one statement)."""
    chain = StallCount.objects.filter(weekend=weekend, ware_id=ware_id, grade=grade)
    return list(chain.select_related("made_by", "in_pass__made_by").order_by("version"))


def corner_of(weekend: Weekend, *, where: str, who: User, now: datetime.datetime) -> CountPass:
    """Return the pass to which a number typed for another corner belongs; call in your turn."""
    passes = CountPass.objects.filter(weekend=weekend)
    kind = CountPass.Kind.ELSEWHERE
    found = passes.filter(made_by=who, kind=kind, where=where, ended_at__isnull=False).first()
    return found or CountPass.objects.create(
        key=new_key(), weekend=weekend, number=passes.count() + 1, kind=kind, where=where,
        made_by=who, made_at=now, ended_at=now, ended_by=who,
    )  # fmt: skip


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


def _refuse_impossible(counted: int, ware_id: int, grade: str) -> None:
    if not 0 <= counted <= MOST_COUNTED:
        raise Refused(f"{counted} pieces can't be right. Nothing was saved: count again.")
    if grade not in Grade.values or not Ware.objects.filter(pk=ware_id).exists():
        raise Refused("There is no such ware. Nothing was saved: choose it from the list.")
