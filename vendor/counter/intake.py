"""Taking in the documents that devices send: each is answered for itself, and none is lost.

A document that holds against the books becomes a sale. One that doesn't is kept whole, with the
reason, until the owner settles it. Only what is no document at all is sent back, and then it is
still on the device that sent it.
"""

import datetime
from collections.abc import Collection, Sequence

from vendor.counter import actions, answers
from vendor.counter.answers import Answer as Answer
from vendor.counter.answers import Outcome as Outcome
from vendor.counter.answers import Sending as Sending
from vendor.counter.at import At
from vendor.counter.document import SaleDocument, parse
from vendor.counter.models import Sale, Unsettled
from vendor.counter.pins import seller_of
from vendor.counter.proof import (
    Unfit,
    bill_seen,
    ended_holds,
    held_against_the_books,
    unfit_where_refused,
)
from vendor.house.models import User
from vendor.house.studio import the_studio

Why = Unsettled.Why


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
    sending = Sending(who, now, answers.clock_off(sent_at, now), vouched)
    return answers.each_answered(raws, parse, _answer, sending)


def _answer(raw: object, document: SaleDocument, sending: Sending) -> Answer:
    digest = answers.digest_of(raw)
    sale = Sale.objects.filter(key=document.key).first()
    if sale is not None and sale.digest == digest:
        return Answer(document.key, Outcome.HAD, number=sale.number)
    before = answers.kept_before(raw, document.key, digest)
    if before is not None:
        return answers.still_kept(before, document.key)
    try:
        sale = taken(document, digest, sending)
    except Unfit as unfit:
        kept = Unsettled(key=document.key, kind=Unsettled.Kind.SALE)
        day = document.sold_at.date()
        return answers.keep(raw, kept, unfit, sending, fair=document.fair, day=day)
    found = sum(line.found for line in sale.lines.all())
    return Answer(document.key, Outcome.TAKEN, number=sale.number, found=found)


def taken(document: SaleDocument, digest: str, sending: Sending) -> Sale:
    """Ring the document up; raises `Unfit` where it does not hold against the books.

    To be called in your turn, within a transaction.
    """
    who, now = sending.who, sending.now
    if Sale.objects.filter(key=document.key).exists():
        raise Unfit(Why.KEY, "A sale with other contents was taken under the same key.")
    sold_at = sending.moment(document.sold_at, later=document.entered_later)
    seller = seller_of(document.seller, who=who, vouched_for=sending.vouched)
    if seller is None:
        raise Unfit(Why.SELLER, f"{answers.PIN_WANTED} It is taken then.")
    weekend, lines = held_against_the_books(document, sold_at=sold_at, now=now, studio=the_studio())
    with unfit_where_refused():
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
