"""Cash that goes into or out of the till other than by a sale: the float, paid in, paid out."""

import datetime

from django.db import transaction

from vendor.counter.models import TillMovement
from vendor.fairs.models import Weekend
from vendor.fairs.planning import refuse_closed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.errors import KeyReused
from vendor.ledger.posting import take_turn


class FloatEnteredAlready(Refused):
    """The till of this weekend has its float; more cash is paid in."""


def move_cash(
    *,
    key: str,
    weekend: Weekend,
    kind: str,
    amount: int,
    reason: str = "",
    who: User,
    now: datetime.datetime,
) -> TillMovement:
    """Write down the float, or cash paid in or out, in minor units above zero, once by its key.

    Paid in and paid out need a reason. Refused: a weekend that is closed, a second float
    (FloatEnteredAlready), and a key that comes back with other contents (KeyReused).
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
            if (before.weekend_id, before.kind, before.amount) != (weekend.pk, kind, amount):
                raise KeyReused(
                    "This was sent before with other figures. What was sent first is kept; "
                    "nothing was changed. Open a fresh page to enter another."
                )
            return before
        refuse_closed(weekend)
        if kind == TillMovement.Kind.FLOAT and _has_float(weekend):
            raise FloatEnteredAlready(
                "The float of this weekend is entered already. Nothing was changed: enter more "
                "cash as paid in."
            )
        moved = TillMovement(
            key=key, weekend=weekend, kind=kind, amount=amount, reason=reason, made_by=who,
            made_at=now,
        )  # fmt: skip
        moved.full_clean()
        moved.save()
    return moved


def _has_float(weekend: Weekend) -> bool:
    return TillMovement.objects.filter(weekend=weekend, kind=TillMovement.Kind.FLOAT).exists()
