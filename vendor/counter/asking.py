"""What became of documents that wait: a device asks by their keys, as it keeps no more of them.

What waits for nothing but its seller's PIN is taken at once where that has been given since.
"""

import datetime
from collections.abc import Collection, Sequence

from django.db import transaction
from django.db.models import F, Q

from vendor.counter import commission_document, commission_intake, document, intake
from vendor.counter.answers import Answer, Outcome, Sending, digest_of, still_kept
from vendor.counter.document import KEY
from vendor.counter.models import Commission, Sale, Unsettled
from vendor.counter.pins import seller_of
from vendor.counter.proof import Unfit
from vendor.counter.settling import settle
from vendor.house.models import User
from vendor.ledger.posting import take_turn


def what_became(
    *,
    keys: Sequence[object],
    who: User,
    now: datetime.datetime,
    vouched: Collection[int] = frozenset(),
) -> list[Answer]:
    """Answer for each key what became of its document; of one we don't know, that it is no sale."""
    sending = Sending(who, now, vouched=vouched)
    return [_one(key, sending) for key in keys]


def _one(key: object, sending: Sending) -> Answer:
    if not isinstance(key, str) or not KEY.fullmatch(key):
        return Answer(None, Outcome.MALFORMED, reason="This is no key.")
    with transaction.atomic():
        take_turn()
        # Under a key that was used before, it is kept under a longer one.
        waiting = Unsettled.objects.filter(Q(key=key) | Q(key__startswith=f"{key}-"))
        kept = waiting.order_by(F("settled_at").asc(nulls_first=True)).first()
        if kept is not None and kept.settled_at is None and kept.why == Unsettled.Why.SELLER:
            return _by_its_seller(kept, key, sending)
        if kept is not None:
            return still_kept(kept, key)
        sale = Sale.objects.filter(key=key).first()
        if sale is not None:
            return Answer(key, Outcome.HAD, number=sale.number)
        made = Commission.objects.filter(key=key).select_related("commitment").first()
        if made is not None:
            return Answer(key, Outcome.HAD, number=made.commitment.number)
    return Answer(key, Outcome.ASIDE, reason="It is not in the books.")


def _by_its_seller(kept: Unsettled, key: str, sending: Sending) -> Answer:
    """Take what waits for its seller's PIN, if that has been given, and answer for it."""
    is_sale = kept.kind == Unsettled.Kind.SALE
    said = document.seller_in(kept.document)
    if seller_of(said, who=sending.who, vouched_for=sending.vouched) is None:
        return still_kept(kept, key)
    try:
        with transaction.atomic():
            return _taken_sale(kept, key, sending) if is_sale else _taken(kept, key, sending)
    except Unfit as unfit:
        kept.why, kept.reason = unfit.why, str(unfit)[:400]
        kept.save(update_fields=["why", "reason"])
        return still_kept(kept, key)


def _taken_sale(kept: Unsettled, key: str, sending: Sending) -> Answer:
    sale = intake.taken(document.parse(kept.document), digest_of(kept.document), sending)
    words = f"Taken as sale {sale.number} once its seller's PIN was given"
    settle(kept, who=sending.who, now=sending.now, words=words, sale=sale)
    found = sum(line.found for line in sale.lines.all())
    return Answer(key, Outcome.TAKEN, number=sale.number, found=found)


def _taken(kept: Unsettled, key: str, sending: Sending) -> Answer:
    told = commission_document.parse(kept.document)
    made = commission_intake.taken(told, digest_of(kept.document), sending)
    words = f"Taken as {made.commitment} once its seller's PIN was given"
    settle(kept, who=sending.who, now=sending.now, words=words, commission=made)
    return Answer(key, Outcome.TAKEN, number=made.commitment.number)
