"""Undoings as devices send them: JSON, version 1, each taken once and answered for itself.

format    "wareboard.undo"
version   1
key       32 digits 0-9 a-f, random, made by the device
sale      the key of the sale
reason    1 to 200 letters
seller    *optional*: the number of the person who undoes it (see `vendor.counter.document`)
"""

import datetime
from collections.abc import Collection, Sequence

from vendor.counter import actions, settling
from vendor.counter.answers import PIN_WANTED, Answer, Outcome
from vendor.counter.document import key_of, seller_in
from vendor.counter.fields import Malformed, fields, one_of, text, whole
from vendor.counter.models import Sale, Undoing, Unsettled
from vendor.counter.pins import seller_of
from vendor.house.errors import Refused
from vendor.house.models import User

FORMAT, VERSION = "wareboard.undo", 1
# Devices may still hold undoings, and the page that sends them, from when they were called so:
# none of them is lost for its name. The format, the address and the list of the batch had it.
FORMER_NAME = "void"
_FIELDS = frozenset({"format", "version", "key", "sale", "reason"})


def take_in(
    *,
    raws: Sequence[object],
    who: User,
    now: datetime.datetime,
    vouched: Collection[int] = frozenset(),
) -> list[Answer]:
    """Undo each sale once; what is refused is answered with the sentence that says why.

    `vouched` are the people whose PIN was given on the sender's login (see `vendor.counter.pins`).
    """
    return [_take_one(raw, who=who, now=now, vouched=vouched) for raw in raws]


def _take_one(
    raw: object, *, who: User, now: datetime.datetime, vouched: Collection[int]
) -> Answer:
    try:
        given = fields(raw, "undo", _FIELDS, frozenset({"seller"}))
        one_of(given["format"], "format", [FORMAT, f"wareboard.{FORMER_NAME}"])
        whole(given["version"], "version", VERSION, VERSION)
        key, sale_key = key_of(raw), key_of({"key": given["sale"]})
        reason = text(given["reason"], "reason", 200, least=1)
        seller = seller_in(given)
    except Malformed as error:
        return Answer(None, Outcome.MALFORMED, reason=str(error))
    by = seller_of(seller, who=who, vouched_for=vouched)
    if by is None:
        return Answer(key, Outcome.REFUSED, reason=f"{PIN_WANTED} The sale stands until then.")
    sale = Sale.objects.filter(key=sale_key).first()
    if by.is_owner and not who.is_owner and (sale is None or sale.seller_id != by.pk):
        # A pass says who sells; what only the owner may takes the owner's login.
        by = who
    had = Undoing.objects.filter(key=key).exists()
    try:
        if sale is None:
            return _withdrawn(key, sale_key, reason=reason, who=by, now=now)
        actions.undo_sale(key=key, sale=sale, reason=reason, who=by, now=now)
    except Refused as refusal:
        return Answer(key, Outcome.REFUSED, reason=refusal.message)
    return Answer(key, Outcome.HAD if had else Outcome.TAKEN, number=sale.number)


def _withdrawn(
    key: str, sale_key: str, *, reason: str, who: User, now: datetime.datetime
) -> Answer:
    """Undo a sale that waits for the owner: it waits no more."""
    if settling.withdraw(key=sale_key, reason=reason, who=who, now=now) is not None:
        return Answer(key, Outcome.TAKEN)
    if Unsettled.objects.filter(key=sale_key, sale__isnull=True).exists():
        return Answer(key, Outcome.HAD)
    return Answer(key, Outcome.REFUSED, reason="That sale is not in the books (yet).")
