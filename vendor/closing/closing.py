"""Closing a weekend for good: its statement is written, its differences are entered, its days shut.

A closing is not opened again. What turns out later is entered in an open weekend, as an amendment
that names the statement. `actions` names these verbs to the other parts.
"""

import datetime
from collections.abc import Sequence
from enum import StrEnum

from django.db import transaction
from django.db.models import Max

from vendor.closing.checklist import books_of, open_items
from vendor.closing.errors import StillOpen
from vendor.closing.models import Amendment, Closing
from vendor.closing.queries import StallLine
from vendor.closing.writing import write_statement
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Counted, Line
from vendor.ledger.errors import KeyReused, refuse_other
from vendor.ledger.models import Balance, Entry, Place
from vendor.ledger.posting import take_turn
from vendor.ledger.queries import on_hand_at, open_holds

LAST_MINUTE = datetime.time(23, 59)


class Leftovers(StrEnum):
    """Where it goes what is left on the stall."""

    STAY = "stay"
    HOME = "home"
    ONLINE = "online"


def close_weekend(
    *,
    key: str,
    weekend: Weekend,
    who: User,
    now: datetime.datetime,
    confirmed: bool = False,
    leftovers: Leftovers = Leftovers.STAY,
) -> Closing:
    """Close a weekend: enter its differences, write its statement, shut its days, all or nothing.

    What is left stays on the stall, goes back to the studio shelf or into the online bin. Closed
    again, the answer is the first statement. Refuses (StillOpen) as long as anything stands open;
    `confirmed` is the owner's yes to what a yes is enough for.
    """
    if not who.is_owner:
        raise Refused("A weekend is closed by the owner. Nothing was changed.")
    with transaction.atomic():
        take_turn()
        fresh = Weekend.objects.select_related("fair__stall", "fair__tier").get(pk=weekend.pk)
        before = Closing.objects.filter(weekend=fresh).first()
        if before is not None:
            return before
        books = books_of(fresh)
        stands = open_items(fresh, books, now=now)
        if stands := [item for item in stands if not (item.soft and confirmed)]:
            raise StillOpen(stands)
        number = (Closing.objects.aggregate(last=Max("number"))["last"] or 0) + 1
        happened_at = _within(fresh, now)
        stall = fresh.fair.stall
        correction = _correct(f"{key}-count", number, books.lines, stall, who, now, happened_at)
        home = _move_on(f"{key}-home", number, stall, leftovers, who, now, happened_at)
        closing = write_statement(
            key=key, weekend=fresh, number=number, books=books, correction=correction, home=home,
            who=who, now=now,
        )  # fmt: skip
        ledger.close_through(place=stall, day=fresh.last_day)
    return closing


def amend_closing(
    *,
    key: str,
    closing: Closing,
    reason: str,
    who: User,
    now: datetime.datetime,
    counts: Sequence[Counted] = (),
    till: int = FIRST_TILL,
    cash: int = 0,
) -> Amendment:
    """Enter under today's date what a closed weekend's statement got wrong, linked to it.

    `counts` is what stands on the stall now, where that differs; `cash` is how many minor units
    a till held more (below zero: less) than stated. The statement itself stays as it is. Refused:
    KeyReused where the key came with other contents.
    """
    if not who.is_owner:
        raise Refused("A statement is amended by the owner. Nothing was changed.")
    words = reason_of(reason)
    with transaction.atomic():
        take_turn()
        before = Amendment.objects.filter(key=key).first()
        if before is not None:
            _refuse_other(before, (closing.pk, words, till, cash), bool(counts))
        stall = closing.weekend.fair.stall
        entry = None
        # Sent again, the ledger knows its entry, and refuses other counts.
        if counts and (before is None or before.entry_id is not None):
            entry = ledger.correct(
                key=f"{key}-amend", counts=counts, at=stall, who=who, now=now,
                reason=f"Closing {closing.number}: {words}"[:200],
            )  # fmt: skip
        if before is not None:
            return before
        made = Amendment(
            key=key, closing=closing, reason=words, entry=entry, till=till, cash=cash, made_by=who,
            made_at=now,
        )  # fmt: skip
        made.full_clean()
        made.save()
    return made


def _refuse_other(before: Amendment, said: tuple[int, str, int, int], has_counts: bool) -> None:
    """Refuse a key that comes again with other contents."""
    refuse_other((before.closing_id, before.reason, before.till, before.cash), said)
    if before.entry_id is not None and not has_counts:
        raise KeyReused


def _within(weekend: Weekend, now: datetime.datetime) -> datetime.datetime:
    """Return the moment under which the closing's entries are dated: now, or the last evening."""
    studio = the_studio()
    if clock.day_of(now, studio) <= weekend.last_day:
        return now
    return clock.at(weekend.last_day, LAST_MINUTE, studio)


def _correct(
    key: str,
    number: int,
    lines: Sequence[StallLine],
    stall: Place,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime,
) -> Entry | None:
    """Enter each line's variance. What came and went since the weekend's end is left as it is."""
    rows = on_hand_at(stall)
    counts = [
        Counted(line.ware.pk, _on_hand(rows, line) + line.variance, line.grade)
        for line in lines
        if line.variance
    ]
    if any(count.counted < 0 for count in counts):
        raise Refused(
            "More has gone from the stall since the weekend than was counted. Nothing was changed: "
            "count again, or undo what went wrong."
        )
    if not counts:
        return None
    return ledger.correct(
        key=key, counts=counts, at=stall, who=who, now=now, happened_at=happened_at,
        reason=f"Closing {number}: counted, with a reason for each",
    )  # fmt: skip


def _on_hand(rows: dict[tuple[int, str], Balance], line: StallLine) -> int:
    row = rows.get((line.ware.pk, line.grade))
    return row.on_hand if row else 0


def _move_on(
    key: str,
    number: int,
    stall: Place,
    leftovers: Leftovers,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime,
) -> Entry | None:
    """Move all that stands on the stall to where it goes, held pieces with their holds."""
    if leftovers is Leftovers.STAY:
        return None
    free = [
        Line(ware_id, row.free, grade)
        for (ware_id, grade), row in on_hand_at(stall).items()
        if row.free
    ]
    held = open_holds(place=stall)
    if not free and not held:
        return None
    home = leftovers is Leftovers.HOME
    return ledger.move(
        key=key, lines=free, holds=held, source=stall, who=who, now=now, happened_at=happened_at,
        target=ledger.the_place(Place.Kind.STUDIO if home else Place.Kind.ONLINE),
        reason=f"Closing {number}: {'taken home' if home else 'put online'}",
    )  # fmt: skip
