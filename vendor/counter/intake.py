"""Taking in the documents that devices send: each is answered for itself, and none is lost.

A document that holds against the books becomes a sale. One that doesn't is kept whole, with the
reason, until the owner settles it. Only what is no document at all is sent back, and then it is
still on the device that sent it.
"""

import datetime
import hashlib
import json
import logging
import threading
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.db import DatabaseError, transaction

from vendor.counter import actions
from vendor.counter.at import At
from vendor.counter.document import SaleDocument, key_of, parse
from vendor.counter.errors import NotASellingDay
from vendor.counter.fields import Malformed
from vendor.counter.models import Sale, Unsettled
from vendor.counter.pins import seller_of
from vendor.counter.proof import Unfit, bill_seen, ended_holds, held_against_the_books
from vendor.fairs.errors import WeekendClosed
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ledger.errors import DayClosed, HeldPiece
from vendor.ledger.posting import take_turn

log = logging.getLogger(__name__)
Why = Unsettled.Why
# Device clocks that run this close to ours are taken at their word.
CLOCK_SLACK = datetime.timedelta(minutes=2)
PIN_WANTED = "The PIN of the one who sold it has to be given again on this device."
# Devices that send at once take turns here: a database that is only asked again and again whether
# it is free lets one of them wait for many seconds while the others go ahead.
_one_at_a_time = threading.Lock()


class Outcome(StrEnum):
    """What became of a document."""

    TAKEN = "taken"
    HAD = "had"
    KEPT = "kept"
    ASIDE = "aside"
    MALFORMED = "malformed"
    LATER = "later"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one document: what became of it, and why or under which number."""

    key: str | None
    outcome: Outcome
    number: int | None = None
    found: int = 0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Sending:
    """Who sends, when, and what their device's login is good for.

    `off` is by how much the device's clock is behind ours; `vouched` are the people whose PIN was
    given on the login.
    """

    who: User
    now: datetime.datetime
    off: datetime.timedelta = datetime.timedelta()
    vouched: Collection[int] = frozenset()


def take_in(
    *,
    raws: Sequence[object],
    who: User,
    now: datetime.datetime,
    sent_at: datetime.datetime | None = None,
    vouched: Collection[int] = frozenset(),
) -> list[Answer]:
    """Take each document once, in a transaction of its own, and answer them in order.

    `sent_at` is the device's clock at sending: where it is off, the moments that it told are put
    right by the same stretch, and those of sales entered later from paper left as they are.
    `vouched` are the people whose PIN was given on the sender's login.
    """
    off = now - sent_at if sent_at is not None else datetime.timedelta()
    if abs(off) <= CLOCK_SLACK:
        off = datetime.timedelta()
    sending = Sending(who, now, off, vouched)
    return [_take_one(raw, sending) for raw in raws]


def digest_of(raw: object) -> str:
    """Return a document's fingerprint, the same in whatever order its fields come."""
    text = json.dumps(raw, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _take_one(raw: object, sending: Sending) -> Answer:
    try:
        document = parse(raw)
    except Malformed as error:
        return Answer(_key_if_any(raw), Outcome.MALFORMED, reason=str(error))
    try:
        with _one_at_a_time, transaction.atomic():
            take_turn()
            return _answer(raw, document, sending)
    except DatabaseError:
        # The device keeps what was not taken and sends it again.
        log.exception("A sale document could not be written; the device will send it again.")
        return Answer(document.key, Outcome.LATER, reason="The database is busy; it comes again.")
    except Exception:
        # A fault of ours in one sale must not hold up those that were sent with it.
        log.exception("A sale document could not be taken in; the device keeps it.")
        return Answer(document.key, Outcome.LATER, reason="It could not be read; it comes again.")


def _answer(raw: object, document: SaleDocument, sending: Sending) -> Answer:
    digest = digest_of(raw)
    before = _answered_before(raw, document.key, digest)
    if before is not None:
        return before
    try:
        sale = taken(document, digest, sending)
    except Unfit as unfit:
        return _keep(raw, document, unfit, who=sending.who, now=sending.now)
    found = sum(line.found for line in sale.lines.all())
    return Answer(document.key, Outcome.TAKEN, number=sale.number, found=found)


def _answered_before(raw: object, key: str, digest: str) -> Answer | None:
    """Return the answer to a document that was sent before, or None for a new one."""
    sale = Sale.objects.filter(key=key).first()
    if sale is not None and sale.digest == digest:
        return Answer(key, Outcome.HAD, number=sale.number)
    for kept in Unsettled.objects.filter(key__in=[key, _other_key(key, digest)]):
        if kept.document == raw:
            return still_kept(kept, key)
    return None


def still_kept(kept: Unsettled, key: str) -> Answer:
    """Return the answer about a document that went to the owner's tray."""
    if kept.sale is not None:
        return Answer(key, Outcome.HAD, number=kept.sale.number)
    if kept.settled_at is not None:
        return Answer(key, Outcome.ASIDE, reason=kept.settlement)
    return Answer(key, Outcome.KEPT, reason=kept.reason)


def taken(document: SaleDocument, digest: str, sending: Sending) -> Sale:
    """Ring the document up; raises `Unfit` where it does not hold against the books.

    To be called in your turn, within a transaction.
    """
    who, now = sending.who, sending.now
    if Sale.objects.filter(key=document.key).exists():
        raise Unfit(Why.KEY, "A sale with other contents was taken under the same key.")
    sold_at = document.sold_at if document.entered_later else document.sold_at + sending.off
    if now < sold_at <= now + CLOCK_SLACK:
        sold_at = now
    seller = seller_of(document.seller, who=who, vouched_for=sending.vouched)
    if seller is None:
        raise Unfit(Why.SELLER, f"{PIN_WANTED} It is taken then.")
    weekend, lines = held_against_the_books(document, sold_at=sold_at, now=now, studio=the_studio())
    try:
        return actions.ring_up(
            key=document.key,
            digest=digest,
            bill=bill_seen(document, lines),
            at=At(
                weekend=weekend,
                moment=sold_at,
                seller=seller,
                device=document.device,
                till=document.till,
            ),
            who=who,
            now=now,
            overrides=ended_holds(document),
            not_the_held=document.not_the_held,
        )
    except (WeekendClosed, DayClosed) as refusal:
        raise Unfit(Why.CLOSED, refusal.message) from None
    except NotASellingDay as refusal:
        raise Unfit(Why.DAY, refusal.message) from None
    except HeldPiece as refusal:
        raise Unfit(Why.HELD, refusal.message) from None
    except Refused as refusal:
        raise Unfit(Why.FIGURES, refusal.message) from None


def _keep(
    raw: object, document: SaleDocument, unfit: Unfit, *, who: User, now: datetime.datetime
) -> Answer:
    """Keep a document whole for the owner's tray."""
    key = document.key
    if unfit.why == Why.KEY or Unsettled.objects.filter(key=key).exists():
        key = _other_key(key, digest_of(raw))
    Unsettled.objects.create(
        key=key,
        document=raw,
        weekend=_nearest_weekend(document.fair, document.sold_at.date()),
        why=unfit.why,
        reason=str(unfit)[:400],
        received_at=now,
        sent_by=who,
    )
    return Answer(document.key, Outcome.KEPT, reason=str(unfit))


def _nearest_weekend(fair_id: int, day: datetime.date) -> Weekend | None:
    """Return the weekend that a sale was most likely part of: the one it falls in or before."""
    weekends = Weekend.objects.filter(fair_id=fair_id)
    return weekends.coming(at=day).first() or weekends.over(at=day).first()


def _other_key(key: str, digest: str) -> str:
    """Return the key under which a document is kept whose own key was used before."""
    return f"{key}-{digest[:24]}"


def _key_if_any(raw: object) -> str | None:
    try:
        return key_of(raw)
    except Malformed:
        return None
