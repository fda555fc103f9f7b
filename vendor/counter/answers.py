"""How documents that devices send are answered: each for itself, once, and none is lost.

What every kind of document shares; `intake` and `commission_intake` say what becomes of theirs.
"""

import datetime
import hashlib
import json
import logging
import threading
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol, TypeVar

from django.db import DatabaseError, transaction

from vendor.counter.document import key_of
from vendor.counter.fields import Malformed
from vendor.counter.models import Unsettled
from vendor.counter.proof import Unfit
from vendor.fairs.models import Weekend
from vendor.house.models import User
from vendor.ledger.posting import take_turn

log = logging.getLogger(__name__)
PIN_WANTED = "The PIN of the one who sold it has to be given again on this device."
# Device clocks that run this close to ours are taken at their word.
CLOCK_SLACK = datetime.timedelta(minutes=2)
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

    def moment(self, told: datetime.datetime, *, later: bool) -> datetime.datetime:
        """Return the moment that a document names, by our clock.

        What was entered `later` from paper names a moment that no device's clock told.
        """
        moment = told if later else told + self.off
        return self.now if self.now < moment <= self.now + CLOCK_SLACK else moment


class Keyed(Protocol):
    """What a document of any kind has: its own key."""

    @property
    def key(self) -> str:
        """The document's own for ever."""


Document = TypeVar("Document", bound=Keyed)


def each_answered(
    raws: Sequence[object],
    parse: Callable[[object], Document],
    take: Callable[[object, Document, Sending], Answer],
    sending: Sending,
) -> list[Answer]:
    """Take each document in a transaction of its own; what goes wrong is answered, not raised."""
    return [_answered(raw, parse, take, sending) for raw in raws]


def _answered(
    raw: object,
    parse: Callable[[object], Document],
    take: Callable[[object, Document, Sending], Answer],
    sending: Sending,
) -> Answer:
    try:
        document = parse(raw)
    except Malformed as error:
        return Answer(_key_if_any(raw), Outcome.MALFORMED, reason=str(error))
    try:
        with _one_at_a_time, transaction.atomic():
            take_turn()
            return take(raw, document, sending)
    except DatabaseError:
        # The device keeps what was not taken and sends it again.
        log.exception("A document could not be written; the device will send it again.")
        return Answer(document.key, Outcome.LATER, reason="The database is busy; it comes again.")
    except Exception:
        # A fault of ours in one document must not hold up those that were sent with it.
        log.exception("A document could not be taken in; the device keeps it.")
        return Answer(document.key, Outcome.LATER, reason="It could not be read; it comes again.")


def clock_off(sent_at: datetime.datetime | None, now: datetime.datetime) -> datetime.timedelta:
    """Return by how much a device's clock is behind ours; nothing where it is close enough."""
    off = now - sent_at if sent_at is not None else datetime.timedelta()
    return off if abs(off) > CLOCK_SLACK else datetime.timedelta()


def digest_of(raw: object) -> str:
    """Return a document's fingerprint, the same in whatever order its fields come."""
    text = json.dumps(raw, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def kept_before(raw: object, key: str, digest: str) -> Unsettled | None:
    """Return what was kept of this very document when it came before, or None."""
    for kept in Unsettled.objects.filter(key__in=[key, _other_key(key, digest)]):
        if kept.digest == digest or kept.document == raw:
            return kept
    return None


def still_kept(kept: Unsettled, key: str) -> Answer:
    """Return the answer about a document that went to the owner's tray."""
    if kept.sale is not None:
        return Answer(key, Outcome.HAD, number=kept.sale.number)
    if kept.commission is not None:
        return Answer(key, Outcome.HAD, number=kept.commission.commitment.number)
    if kept.settled_at is not None:
        return Answer(key, Outcome.ASIDE, reason=kept.settlement)
    return Answer(key, Outcome.KEPT, reason=kept.reason)


def keep(
    raw: object,
    kept: Unsettled,
    unfit: Unfit,
    sending: Sending,
    *,
    fair: int,
    day: datetime.date,
) -> Answer:
    """Keep a document whole for the owner's tray; `kept` brings its kind and its key."""
    own = kept.key
    kept.digest = digest_of(raw)
    if unfit.why == Unsettled.Why.KEY or Unsettled.objects.filter(key=own).exists():
        kept.key = _other_key(own, kept.digest)
    kept.document, kept.why, kept.reason = raw, unfit.why, str(unfit)[:400]
    kept.weekend = _nearest_weekend(fair, day)
    kept.received_at, kept.sent_by = sending.now, sending.who
    kept.save(force_insert=True)
    return Answer(own, Outcome.KEPT, reason=str(unfit))


def _nearest_weekend(fair_id: int, day: datetime.date) -> Weekend | None:
    """Return the weekend that it was most likely part of: the one it falls in or before."""
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
