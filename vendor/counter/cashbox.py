"""The cash boxes of a weekend, and cash that goes into and out of them other than by a sale."""

import datetime

from django.db import transaction

from vendor.counter.models import TillMovement
from vendor.counter.till import FIRST_TILL, MOST_TILLS, Till, name_of, names_of
from vendor.fairs.models import Weekend
from vendor.fairs.planning import refuse_closed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn


class FloatEnteredAlready(Refused):
    """The till of this weekend has its float; more cash is paid in."""


def add_till(
    *, key: str, weekend: Weekend, name: str, who: User, now: datetime.datetime
) -> Till | None:
    """Open another cash box for a weekend, by name, once; None where the first is called so.

    Refused: no name, a weekend that is closed, more boxes than anybody has, and a key that comes
    back with another name or weekend (KeyReused).
    """
    name = " ".join(name.split())[:40]
    if not name:
        raise Refused("Please give the cash box a name. Nothing was changed.")
    with transaction.atomic():
        take_turn()
        before = Till.objects.filter(key=key).first()
        if before is not None:
            said = (weekend.pk, name.casefold())
            refuse_other((before.weekend_id, before.name.casefold()), said)
            return before
        named = names_of(weekend)
        known = {words.casefold(): number for number, words in named.items()}
        if name.casefold() in known:
            return Till.objects.filter(weekend=weekend, number=known[name.casefold()]).first()
        refuse_closed(weekend)
        number = max(named) + 1
        if number > MOST_TILLS:
            raise Refused(f"A weekend has at most {MOST_TILLS} cash boxes. Nothing was changed.")
        return Till.objects.create(
            key=key, weekend=weekend, number=number, name=name, made_by=who, made_at=now
        )


def move_cash(
    *,
    key: str,
    weekend: Weekend,
    kind: str,
    amount: int,
    reason: str = "",
    till: int = FIRST_TILL,
    day: datetime.date | None = None,
    after_count: bool = False,
    who: User,
    now: datetime.datetime,
) -> TillMovement:
    """Write down the float, or cash paid in or out, in minor units above zero, once by its key.

    `till` is the number of the cash box, `day` the one it belongs to where that is not today's;
    `after_count`: once that day's cash was counted. Paid in and paid out need a reason. Refused: a
    weekend that is closed, a second float of a box (FloatEnteredAlready), and a key that comes
    back with other contents (KeyReused).
    """
    reason = reason.strip()
    if amount <= 0:
        raise Refused("The amount has to be above zero. Nothing was entered.")
    if kind != TillMovement.Kind.FLOAT and not reason:
        raise Refused("Please say what the cash was for. Nothing was entered.")
    with transaction.atomic():
        take_turn()
        before = TillMovement.objects.filter(key=key).first()
        if before is not None:
            refuse_other(_figures(before), (weekend.pk, kind, amount, till))
            return before
        refuse_closed(weekend)
        if day is not None and not weekend.first_day <= day <= weekend.last_day:
            raise Refused(f"{day} is no day of {weekend}. Nothing was entered.")
        if kind == TillMovement.Kind.FLOAT and _has_float(weekend, till):
            raise FloatEnteredAlready(
                "The float of this weekend is entered already. Nothing was changed: enter more "
                "cash as paid in."
            )
        moved = TillMovement(
            key=key, weekend=weekend, kind=kind, amount=amount, reason=reason, till=till, day=day,
            after_count=after_count, made_by=who, made_at=now,
        )  # fmt: skip
        moved.full_clean()
        moved.save()
    return moved


def move_between(
    *,
    key: str,
    weekend: Weekend,
    amount: int,
    source: int,
    target: int,
    reason: str = "",
    day: datetime.date | None = None,
    who: User,
    now: datetime.datetime,
) -> TillMovement:
    """Move cash from one box to another: paid out of the one, paid in to the other, linked.

    Once by its key. Refused like `move_cash`, and from a box to itself.
    """
    if source == target:
        raise Refused("Choose another cash box to move it to. Nothing was entered.")
    names = names_of(weekend)
    words = f": {reason.strip()}" if reason.strip() else ""
    with transaction.atomic():
        take_turn()
        before = TillMovement.objects.filter(key=key).first()
        if before is not None:
            into = getattr(before, "moved_to", None)
            said = (weekend.pk, TillMovement.Kind.PAID_OUT, amount, source)
            refuse_other((*_figures(before), into and into.till), (*said, target))
            return before
        out = move_cash(
            key=key, weekend=weekend, kind=TillMovement.Kind.PAID_OUT, amount=amount, till=source,
            reason=f"to {name_of(target, names)}{words}"[:200], day=day, who=who, now=now,
        )  # fmt: skip
        into = TillMovement(
            key=f"{key}-in", weekend=weekend, kind=TillMovement.Kind.PAID_IN, amount=amount,
            till=target, reason=f"from {name_of(source, names)}{words}"[:200], moved_from=out,
            day=day, made_by=who, made_at=now,
        )  # fmt: skip
        into.full_clean()
        into.save()
    return out


def _figures(moved: TillMovement) -> tuple[int, str, int, int]:
    return (moved.weekend_id, moved.kind, moved.amount, moved.till)


def _has_float(weekend: Weekend, till: int) -> bool:
    floats = TillMovement.objects.filter(weekend=weekend, kind=TillMovement.Kind.FLOAT)
    return floats.filter(till=till).exists()
