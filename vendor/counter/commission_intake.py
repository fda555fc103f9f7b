"""Taking in the commissions that devices send: each is answered for itself, and none is lost.

Like `intake`, which does the same for sales.
"""

import datetime
from collections.abc import Collection, Sequence

from vendor.counter import answers, commissions
from vendor.counter.answers import Answer, Outcome, Sending
from vendor.counter.at import At
from vendor.counter.commission_document import CommissionDocument, parse
from vendor.counter.models import Commission, Unsettled
from vendor.counter.pins import seller_of
from vendor.counter.proof import Unfit, unfit_where_refused, weekend_of
from vendor.house import clock
from vendor.house.models import User
from vendor.house.studio import the_studio
from vendor.ware.models import Form, Ware

Why = Unsettled.Why


def take_in(
    *,
    raws: Sequence[object],
    who: User,
    now: datetime.datetime,
    sent_at: datetime.datetime | None = None,
    vouched: Collection[int] = frozenset(),
) -> list[Answer]:
    """Take each commission once, in a transaction of its own, and answer them in order.

    The number in an answer is that of the promise.
    """
    sending = Sending(who, now, answers.clock_off(sent_at, now), vouched)
    return answers.each_answered(raws, parse, _answer, sending)


def _answer(raw: object, document: CommissionDocument, sending: Sending) -> Answer:
    digest = answers.digest_of(raw)
    made = Commission.objects.filter(key=document.key).select_related("commitment").first()
    if made is not None and made.digest == digest:
        return Answer(document.key, Outcome.HAD, number=made.commitment.number)
    before = answers.kept_before(raw, document.key, digest)
    if before is not None:
        return answers.still_kept(before, document.key)
    try:
        made = taken(document, digest, sending)
    except Unfit as unfit:
        kept = Unsettled(key=document.key, kind=Unsettled.Kind.COMMISSION)
        day = document.taken_at.date()
        return answers.keep(raw, kept, unfit, sending, fair=document.fair, day=day)
    return Answer(document.key, Outcome.TAKEN, number=made.commitment.number)


def taken(document: CommissionDocument, digest: str, sending: Sending) -> Commission:
    """Write a commission down; raises `Unfit` where it does not hold against the books.

    To be called in your turn, within a transaction.
    """
    if Commission.objects.filter(key=document.key).exists():
        raise Unfit(Why.KEY, "A commission with other contents was taken under the same key.")
    moment = sending.moment(document.taken_at, later=document.entered_later)
    seller = seller_of(document.seller, who=sending.who, vouched_for=sending.vouched)
    if seller is None:
        raise Unfit(Why.SELLER, f"{answers.PIN_WANTED} It is taken then.")
    studio = the_studio()
    if document.currency != studio.currency:
        raise Unfit(
            Why.TERMS,
            f"It was agreed in {document.currency}; the studio sells in {studio.currency}.",
        )
    day = clock.day_of(moment, studio)
    at = At(
        weekend=weekend_of(document.fair, day, ahead=moment > sending.now), moment=moment,
        seller=seller, device=document.device, till=document.till,
    )  # fmt: skip
    ordered = ordered_seen(document, *_piece(document))
    with unfit_where_refused():
        return commissions.take_commission(
            key=document.key, ordered=ordered, deposit=deposit_seen(document), at=at,
            who=sending.who, now=sending.now, digest=digest,
        )  # fmt: skip


def ordered_seen(
    document: CommissionDocument, ware: Ware | None, form: Form | None
) -> commissions.Ordered:
    """Return what was ordered as the seller wrote it, of a ware or a form."""
    return commissions.Ordered(
        name=document.name,
        contact=document.contact,
        ware=ware,
        form=form,
        choices=document.choices,
        note=document.note,
        due_on=document.due_on,
        price=document.price,
    )


def deposit_seen(document: CommissionDocument) -> commissions.Received | None:
    """Return the deposit as the seller took it."""
    seen = document.deposit
    return commissions.Received(method=seen.method, amount=seen.amount) if seen else None


def _piece(document: CommissionDocument) -> tuple[Ware | None, Form | None]:
    """Return the ware or the form of its code; `Unfit` for one that is unknown or retired."""
    ware = Ware.objects.named().filter(code=document.ware).first() if document.ware else None
    form = Form.objects.filter(code=document.form).first() if document.form else None
    found = ware or form
    code = document.ware or document.form
    if found is None:
        raise Unfit(Why.WARE, f"Nothing has the code {code} ({document.piece}).")
    if found.retired:
        raise Unfit(Why.WARE, f"{document.piece} ({code}) is retired.")
    return ware, form
