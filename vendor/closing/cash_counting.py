"""Counting cash by till and night, saying why it differs, and what is taken out once counted.

A part of `actions`, by the same rules as `counting`.
"""

import datetime
from collections.abc import Mapping

from django.db import transaction

from vendor.closing.counting import before_it, next_version, refuse_counting
from vendor.closing.equation import total_of
from vendor.closing.errors import CountedMeanwhile, NothingToExplain
from vendor.closing.models import CarriedCash, CashCount
from vendor.closing.takings import carried, nights_of, till_sheet
from vendor.closing.tills import Stretch
from vendor.counter import cashbox
from vendor.counter.models import TillMovement
from vendor.counter.till import FIRST_TILL, MOST_TILLS
from vendor.fairs.models import Weekend
from vendor.house import clock, dates
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.house.written import money
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn

MOST_CASH = 10**12


def count_cash(
    *,
    key: str,
    weekend: Weekend,
    till: int = FIRST_TILL,
    day: datetime.date | None = None,
    counted: int | None = None,
    pieces: Mapping[int, int] | None = None,
    saw: int,
    who: User,
    now: datetime.datetime,
) -> CashCount:
    """Write down what was counted in a till, in minor units or by note and coin, once by its key.

    `day` is the night that it was counted (None: the end of the weekend). `pieces` is how many of
    each, by worth in minor units. Where both are given they have to agree.
    """
    pieces = {worth: number for worth, number in (pieces or {}).items() if number}
    counted = _cash(counted, pieces)
    with transaction.atomic():
        before = before_it(CashCount, key, weekend)
        if before is not None:
            refuse_other((before.till, before.day, before.counted), (till, day, counted))
            return before
        _refuse_no_night(weekend, till, day, now)
        chain = CashCount.objects.filter(weekend=weekend, till=till, day=day)
        standing = chain.order_by("-version").first()
        if standing is not None and standing.version != saw:
            if standing.counted == counted:
                return standing
            studio = the_studio()
            raise CountedMeanwhile(
                standing, money(standing.counted, studio), money(counted, studio)
            )
        return CashCount.objects.create(
            key=key, weekend=weekend, till=till, day=day, counted=counted,
            version=next_version(standing), made_by=who, made_at=now,
            pieces={str(worth): number for worth, number in pieces.items()},
        )  # fmt: skip


def explain_cash(
    *,
    key: str,
    weekend: Weekend,
    till: int = FIRST_TILL,
    day: datetime.date | None = None,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> CashCount:
    """Say why a till is over or short at a count, as it is now; KeyReused for other words."""
    words = reason_of(reason)
    with transaction.atomic():
        before = before_it(CashCount, key, weekend)
        if before is not None:
            refuse_other((before.till, before.day, before.reason), (till, day, words))
            return before
        stretch, count = _counted(weekend, till, day)
        return CashCount.objects.create(
            key=key, weekend=weekend, till=till, day=day, counted=count.counted,
            pieces=count.pieces, version=stretch.version + 1, reason=words,
            explains=stretch.difference, made_by=who, made_at=now,
        )  # fmt: skip


def take_out(
    *,
    key: str,
    weekend: Weekend,
    till: int = FIRST_TILL,
    day: datetime.date | None = None,
    amount: int,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> TillMovement:
    """Take cash out of a till that was counted, so that the rest stays for what comes next.

    Paid out after the count of that night (None: of the weekend's end), so that the count stays
    as it is. Refused where the till holds less, and before it is counted.
    """
    with transaction.atomic():
        take_turn()
        before = TillMovement.objects.filter(key=key).first()
        if before is None:
            refuse_counting(weekend)
            stretch, _ = _counted(weekend, till, day)
            if amount > stretch.left:
                raise Refused(
                    f"There is only {money(stretch.left, the_studio())} in it. Nothing was entered."
                )
        return cashbox.move_cash(
            key=key, weekend=weekend, kind=TillMovement.Kind.PAID_OUT, amount=amount,
            reason=reason_of(reason, "it was taken out"), till=till, day=day or weekend.last_day,
            after_count=True, who=who, now=now,
        )  # fmt: skip


def explain_carried(
    *, key: str, weekend: Weekend, reason: str, who: User, now: datetime.datetime
) -> CarriedCash:
    """Say why the weekend began with other cash than the statement before had left.

    KeyReused where the key came with other words or for another weekend.
    """
    words = reason_of(reason)
    with transaction.atomic():
        take_turn()
        before = CarriedCash.objects.filter(key=key).first()
        if before is not None:
            refuse_other((before.weekend_id, before.reason), (weekend.pk, words))
            return before
        refuse_counting(weekend)
        between = carried(weekend, till_sheet(weekend))
        if between is None or not between.difference:
            raise NothingToExplain("The till began as it was left. Nothing was saved.")
        return CarriedCash.objects.create(
            key=key, weekend=weekend, difference=between.difference, reason=words,
            made_by=who, made_at=now,
        )  # fmt: skip


def _counted(weekend: Weekend, till: int, day: datetime.date | None) -> tuple[Stretch, CashCount]:
    """Return how a till stood at a count; refused before there is one."""
    box = till_sheet(weekend).box(till)
    stretch = box.at(day) if box is not None else None
    if stretch is None or stretch.count is None:
        raise NothingToExplain("Count the cash first. Nothing was saved.")
    return stretch, stretch.count


def _refuse_no_night(
    weekend: Weekend, till: int, day: datetime.date | None, now: datetime.datetime
) -> None:
    """Refuse a night that is none to be counted, and a till that nobody has."""
    if not FIRST_TILL <= till <= MOST_TILLS:
        raise Refused("There is no such cash box. Nothing was saved.")
    if day is None:
        return
    if day not in nights_of(weekend):
        raise Refused(
            f"{dates.day(day)} has no night to count before the end of the weekend. "
            "Nothing was saved."
        )
    if day > clock.day_of(now, the_studio()):
        raise Refused(f"{dates.day(day)} is yet to come. Nothing was saved.")


def _cash(counted: int | None, pieces: Mapping[int, int]) -> int:
    if any(number < 0 for number in pieces.values()):
        raise Refused("There can't be fewer than no coins. Nothing was saved: count again.")
    total = total_of(pieces)
    if counted is None:
        counted = total
    elif pieces and counted != total:
        studio = the_studio()
        raise Refused(
            f"The notes and coins come to {money(total, studio)}, and the total says "
            f"{money(counted, studio)}. Nothing was saved: leave one of the two empty."
        )
    if not 0 <= counted < MOST_CASH:
        raise Refused("That amount can't be right. Nothing was saved: count again.")
    return counted
