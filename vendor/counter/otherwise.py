"""Pieces that come and go at the stall other than by a sale: broken, given, found, chipped."""

import datetime

from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.models import Entry, Place
from vendor.ware.models import Grade, Ware

FOUND, CHIPPED = "found", "chipped"
HAPPENINGS = (
    (Place.Kind.BROKEN.value, "Broken"),
    (Place.Kind.GIVEN.value, "Given away"),
    (Place.Kind.TRADED.value, "Traded"),
    (Place.Kind.OWN_USE.value, "Kept for own use"),
    (CHIPPED, "Chipped: a second from now on"),
    (FOUND, "Found: it is there, and the books don't have it"),
)


def enter(
    *,
    key: str,
    weekend: Weekend,
    happening: str,
    ware: Ware,
    grade: str,
    quantity: int,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> Entry:
    """Enter what happened to pieces on a stall, once by its key, with a reason.

    Refused: fewer free pieces than are named, a held one, a day that is closed (the ledger's
    refusals), and a second that is to become one.
    """
    stall = weekend.fair.stall
    lines = [ledger.Line(ware.pk, quantity, grade)]
    key = f"stall-{key}"
    if happening == FOUND:
        return ledger.find(key=key, lines=lines, at=stall, who=who, now=now, reason=reason)
    if happening == CHIPPED:
        if grade != Grade.FIRST:
            raise Refused("It is a second already. Nothing was changed.")
        return ledger.regrade(
            key=key, lines=lines, at=stall, to=Grade.SECOND, who=who, now=now, reason=reason
        )
    return ledger.remove(
        key=key, lines=lines, source=stall, to=happening, who=who, now=now, reason=reason
    )
