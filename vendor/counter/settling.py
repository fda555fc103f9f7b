"""The owner's tray: documents that could not be taken as they stood, settled one by one.

Each ends in one of two ways, and stays on record either way: taken after all, under a day and with
pieces that the owner names, or put aside with a reason. Of a commission, who the customer is goes
from the record as it is settled: the promise knows it, or nobody has to.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.db import transaction

from vendor.counter import actions, commission_document, commissions
from vendor.counter.answers import digest_of
from vendor.counter.at import At
from vendor.counter.commission_intake import deposit_seen, ordered_seen
from vendor.counter.document import SaleDocument, parse
from vendor.counter.errors import NotYours, SettledAlready
from vendor.counter.models import Commission, Sale, Unsettled
from vendor.counter.pins import named_by, number_of
from vendor.counter.prices import listed
from vendor.counter.proof import bill_seen, ended_holds, lines_seen, payments_seen
from vendor.counter.rung import Bill, Paid, Rung, reckoned
from vendor.fairs.models import Weekend
from vendor.house import clock, dates
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger.models import Hold
from vendor.ledger.posting import take_turn
from vendor.ware.models import Form, Ware


def take_as_sale(
    *,
    unsettled: Unsettled,
    weekend: Weekend,
    day: datetime.date,
    who: User,
    now: datetime.datetime,
    instead: Mapping[str, Ware] | None = None,
    overrides: Sequence[Hold] = (),
    not_the_held: bool = False,
) -> Sale:
    """Take a kept document as a sale of a selling day, at the prices and the tax it was sold at.

    `instead` names the ware for codes that the books don't know. The ledger enters it under the
    moment of the sale, or under now where that day is closed. Where the payments don't come to
    what we reckon, the whole is taken as paid the first way that was named.

    Refused: whoever is not the owner (NotYours), a document that is settled (SettledAlready),
    another currency or unknown ware (Refused), and all that `ring_up` refuses.
    """
    with transaction.atomic():
        take_turn()
        fresh = _still_open(unsettled, who)
        document = parse(fresh.document)
        sale = actions.ring_up(
            key=fresh.key,
            digest=digest_of(fresh.document),
            bill=_bill(document, instead or {}, weekend, day),
            at=_at(document, fresh, weekend, day, now),
            who=who,
            now=now,
            overrides=overrides or ended_holds(document),
            not_the_held=not_the_held or document.not_the_held,
        )
        words = f"Taken as sale {sale.number} of {dates.day(day)}"
        settle(fresh, who=who, now=now, words=words, sale=sale)
    return sale


def _bill(
    document: SaleDocument, instead: Mapping[str, Ware], weekend: Weekend, day: datetime.date
) -> Bill:
    """Return what was sold, as the seller saw it; refused in another currency."""
    _refuse_currency(document.currency)
    wares = _wares(document, instead)
    prices = listed(weekend.fair, wares.values(), on=day, studio=the_studio())
    bill = bill_seen(document, lines_seen(document, wares, prices))
    payments = _payments(document, bill.lines)
    return replace(bill, payments=payments, terms=document.terms)


def _refuse_currency(currency: str) -> None:
    ours = the_studio().currency
    if currency != ours:
        raise Refused(
            f"It was agreed in {currency}, and the books are in {ours}. "
            "Nothing was changed: put it aside, and enter it in your own currency."
        )


def _at(
    document: SaleDocument,
    kept: Unsettled,
    weekend: Weekend,
    day: datetime.date,
    now: datetime.datetime,
) -> At:
    return At(
        weekend=weekend,
        day=day,
        moment=document.sold_at,
        entered_at=_open_moment(document.sold_at, weekend, now),
        seller=named_by(document.seller) or kept.sent_by,
        device=document.device,
        till=document.till,
    )


def take_as_commission(
    *,
    unsettled: Unsettled,
    weekend: Weekend,
    day: datetime.date,
    ware: Ware | None,
    form: Form | None,
    who: User,
    now: datetime.datetime,
) -> Commission:
    """Take a kept commission under a selling day, of a ware or of a form that the owner names.

    Refused: whoever is not the owner (NotYours), a document that is settled (SettledAlready),
    another currency, and all that `take_commission` refuses.
    """
    with transaction.atomic():
        take_turn()
        fresh = _still_open(unsettled, who)
        document = commission_document.parse(fresh.document)
        _refuse_currency(document.currency)
        made = commissions.take_commission(
            key=fresh.key,
            ordered=ordered_seen(document, ware, None if ware is not None else form),
            deposit=deposit_seen(document),
            at=At(
                weekend=weekend, day=day, moment=document.taken_at, device=document.device,
                till=document.till, seller=named_by(document.seller) or fresh.sent_by,
            ),
            who=who,
            now=now,
            digest=fresh.digest,
        )  # fmt: skip
        words = f"Taken as {made.commitment} of {dates.day(day)}"
        settle(fresh, who=who, now=now, words=words, commission=made)
    return made


def put_aside(*, unsettled: Unsettled, reason: str, who: User, now: datetime.datetime) -> Unsettled:
    """Settle a kept document without a sale or a promise, with a reason; it stays on record."""
    why = reason_of(reason, "it is no sale")
    with transaction.atomic():
        take_turn()
        fresh = _still_open(unsettled, who)
        settle(fresh, who=who, now=now, words=why)
    return fresh


def withdraw(*, key: str, reason: str, who: User, now: datetime.datetime) -> Unsettled | None:
    """Settle a kept document that its seller undoes before the owner came to it.

    Returns None where no document waits under the sale's key. A helper withdraws only what they
    sold or sent themselves (NotYours).
    """
    with transaction.atomic():
        take_turn()
        kept = Unsettled.objects.filter(
            key=key, kind=Unsettled.Kind.SALE, settled_at__isnull=True
        ).first()
        if kept is None:
            return None
        sold_by = number_of(kept.document.get("seller", ""))
        if not who.is_owner and who.pk not in (kept.sent_by_id, sold_by):
            raise NotYours("Somebody else took that sale. Nothing was changed.")
        settle(kept, who=who, now=now, words=f"Undone by the seller: {reason.strip()}"[:200])
    return kept


def unknown_codes(document: SaleDocument) -> list[str]:
    """Return the codes on a document that the books don't know, in order."""
    codes = list(dict.fromkeys(line.ware for line in document.lines))
    known = set(Ware.objects.filter(code__in=codes).values_list("code", flat=True))
    return [code for code in codes if code not in known]


def _still_open(unsettled: Unsettled, who: User) -> Unsettled:
    if not who.is_owner:
        raise NotYours("Only the owner settles what waits in the tray. Nothing was changed.")
    fresh = Unsettled.objects.select_for_update(of=("self",)).select_related("sent_by")
    found = fresh.get(pk=unsettled.pk)
    if found.settled_at is not None:
        raise SettledAlready(f"This has been settled already: {found.settlement}.")
    return found


def settle(
    unsettled: Unsettled,
    *,
    who: User,
    now: datetime.datetime,
    words: str,
    sale: Sale | None = None,
    commission: Commission | None = None,
) -> None:
    """Write down by whom and how a kept document was settled; to be called in your turn."""
    if unsettled.kind == Unsettled.Kind.COMMISSION:
        unsettled.document = {**unsettled.document, "customer": commission_document.NOBODY}
    unsettled.settled_at = now
    unsettled.settled_by = who
    unsettled.settlement = words
    unsettled.sale, unsettled.commission = sale, commission
    unsettled.save(
        update_fields=["settled_at", "settled_by", "settlement", "sale", "commission", "document"]
    )


def _wares(document: SaleDocument, instead: Mapping[str, Ware]) -> dict[str, Ware]:
    codes = {line.ware for line in document.lines}
    known = {ware.code: ware for ware in Ware.objects.named().filter(code__in=codes)}
    wares = known | {code: ware for code, ware in instead.items() if code in codes - known.keys()}
    missing = sorted(codes - wares.keys())
    if missing:
        raise Refused(
            f"No ware has the code {missing[0]}. Nothing was changed: choose which ware it was."
        )
    return wares


def _payments(document: SaleDocument, lines: Sequence[Rung]) -> list[Paid]:
    """Return the payments as taken where they come to what we reckon, else one for the whole."""
    payments = payments_seen(document)
    try:
        sums = reckoned(lines, document.terms, payments, document.discount)
    except Refused:
        pass
    else:
        if not sums.left:
            return payments
    return [replace(paid, settles=None, tendered=None) for paid in payments[:1]]


def _open_moment(
    moment: datetime.datetime, weekend: Weekend, now: datetime.datetime
) -> datetime.datetime:
    """Return the moment under which the ledger can enter it: its own, unless closed."""
    closed = weekend.fair.stall.closed_through
    at = min(moment, now)
    if closed is not None and clock.day_of(at, the_studio()) <= closed:
        return now
    return at
