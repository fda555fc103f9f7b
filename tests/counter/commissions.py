"""Short ways to take a commission at a stall, and to hold its piece."""

import datetime
import itertools
from typing import Any

from tests.counter.stalls import NOW, SATURDAY, SOLD_AT, Stall
from vendor.counter import commissions
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import Commission, Sale
from vendor.counter.rung import Paid
from vendor.supporters import actions as supporters
from vendor.supporters.models import Commitment

_keys = itertools.count(1)
CUSTOMER, CONTACT = "Robin Lark", "robin@example.test"
DUE = datetime.date(2027, 2, 1)


def key() -> str:
    """Return a fresh key, as devices make them."""
    return f"{next(_keys):032x}"


def at(stall: Stall, **more: Any) -> At:
    """Return Saturday at the stall."""
    return At(**{"weekend": stall.weekend, "moment": SOLD_AT, "day": SATURDAY, **more})


def taken(
    stall: Stall, deposit: int = 2000, method: Method = Method.CASH, **more: Any
) -> Commission:
    """Take a commission of a tumbler at 90.00 with a deposit."""
    told = {"name": CUSTOMER, "contact": CONTACT, "ware": stall.tumbler, "price": 9000}
    received = commissions.Received(method=method, amount=deposit) if deposit else None
    return commissions.take_commission(
        key=more.pop("key", key()), deposit=received, at=at(stall), who=stall.helper, now=NOW,
        ordered=commissions.Ordered(**{**told, "choices": "a hare", "due_on": DUE, **more}),
    )  # fmt: skip


def held(stall: Stall, commission: Commission) -> Commitment:
    """Hold a tumbler on the stall for it."""
    return supporters.keep_piece(
        key=key(), commitment=commission.commitment, place=stall.place, who=stall.owner, now=NOW
    )


def handed_over(stall: Stall, promise: Commitment, **more: Any) -> Sale:
    """Hand it over for what is left to pay."""
    payment = more.pop("payment", Paid(method=Method.CASH))
    return commissions.hand_over(
        key=more.pop("key", key()), promise=promise, payment=payment,
        at=more.pop("at", at(stall)), who=stall.helper, now=NOW,
    )  # fmt: skip


def cancelled(
    stall: Stall, promise: Commitment, kind: Any, method: Method | None = None, **more: Any
) -> Any:
    """Cancel it, and pay its deposit back or keep it."""
    told = {"who": stall.owner, "reason": "The customer moved away", "key": key(), **more}
    return commissions.cancel(
        promise=promise, ending=commissions.Ending(kind=kind, method=method), at=at(stall),
        now=NOW, **told,
    )  # fmt: skip


def document(stall: Stall, **changes: Any) -> dict[str, Any]:
    """Return a proper document of a commission; `changes` replace its fields."""
    return {
        "format": "wareboard.commission",
        "version": 1,
        "key": key(),
        "fair": stall.fair.pk,
        "taken_at": SOLD_AT.isoformat(),
        "device": "Tansy's phone",
        "currency": "USD",
        "customer": {"name": CUSTOMER, "contact": CONTACT},
        "piece": {"form": "", "ware": stall.tumbler.code, "name": stall.tumbler.name},
        "choices": "a hare",
        "note": "collects in February",
        "due_on": DUE.isoformat(),
        "price": 9000,
        "deposit": {"method": "cash", "amount": 2000},
        **changes,
    }
