"""Contributions by month: typing them in, refunds, and striking out what was wrong.

A second half of `actions`, by the same rules. A contribution is never deleted, and what was
changed on it later is kept with its reason.
"""

import datetime
from collections.abc import Sequence

from django.db import transaction

from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Contribution, ContributionChange, Level, Supporter
from vendor.supporters.steps import cleaned

What, Kind = ContributionChange.What, Contribution.Kind


def record_contribution(
    *,
    key: str,
    supporter: Supporter,
    level: Level,
    month: datetime.date,
    amount: int,
    on: datetime.date,
    kind: str = Kind.PAID,
    reference: str = "",
    who: User,
    now: datetime.datetime,
) -> Contribution:
    """Write down what a supporter contributed for a month; `amount` is in minor units.

    The same key again answers with the contribution that it made.
    """
    with transaction.atomic():
        take_turn()
        before = Contribution.objects.filter(key=key).first()
        if before is not None:
            return before
        new = Contribution(
            key=key,
            made_by=who,
            made_at=now,
            supporter=supporter,
            level=level,
            month=month.replace(day=1),
            kind=kind,
            amount=amount,
            on=on,
            reference=reference.strip(),
        )
        cleaned(new).save()
    return new


def record_month(
    *,
    month: datetime.date,
    payments: Sequence[tuple[Supporter, Level, int]],
    on: datetime.date,
    who: User,
    now: datetime.datetime,
) -> list[Contribution]:
    """Write down who paid for a month, all or none: supporter, level, amount in minor units.

    A supporter's month is written once by this sheet, so that it can be sent again, or filled in
    further when more have paid. What was struck out can be written down afresh.
    """
    first = month.replace(day=1)
    with transaction.atomic():
        take_turn()
        return [
            record_contribution(
                key=_sheet_key(supporter, first),
                supporter=supporter,
                level=level,
                month=first,
                amount=amount,
                on=on,
                who=who,
                now=now,
            )
            for supporter, level, amount in payments
        ]


def refund_contribution(
    *,
    key: str,
    contribution: Contribution,
    on: datetime.date,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> Contribution:
    """Note that a payment was refunded: its month earns nothing from that day on."""
    why = reason_of(reason, "it was refunded")
    with transaction.atomic():
        fresh = _fresh(contribution)
        if _done_before(key, fresh, What.REFUNDED):
            return fresh
        if fresh.kind != Kind.PAID or fresh.refunded_on or fresh.struck_at:
            raise NotNow(
                f"This contribution is “{fresh.said.lower()}”, so there is no payment to refund. "
                "Nothing was changed."
            )
        fresh.refunded_on = on
        cleaned(fresh).save(update_fields=["refunded_on"])
        note_change(key, fresh, What.REFUNDED, why, who, now)
    return fresh


def strike_contribution(
    *, key: str, contribution: Contribution, reason: str, who: User, now: datetime.datetime
) -> Contribution:
    """Strike a contribution out that was never made: it stays in the book and counts for nothing.

    A file that brings it again does not bring it back.
    """
    why = reason_of(reason, "it is struck out")
    with transaction.atomic():
        fresh = _fresh(contribution)
        if _done_before(key, fresh, What.STRUCK):
            return fresh
        if fresh.struck_at is not None:
            raise NotNow("This contribution is struck out already. Nothing was changed.")
        fresh.struck_at = now
        fresh.save(update_fields=["struck_at"])
        note_change(key, fresh, What.STRUCK, why, who, now)
    return fresh


def count_again(
    *, key: str, contribution: Contribution, reason: str, who: User, now: datetime.datetime
) -> Contribution:
    """Let a contribution count again that was struck out or refunded by mistake."""
    why = reason_of(reason, "it counts again")
    with transaction.atomic():
        fresh = _fresh(contribution)
        if _done_before(key, fresh, What.BACK):
            return fresh
        if fresh.struck_at is None and fresh.refunded_on is None:
            raise NotNow("This contribution counts already. Nothing was changed.")
        fresh.struck_at = fresh.refunded_on = None
        fresh.save(update_fields=["struck_at", "refunded_on"])
        note_change(key, fresh, What.BACK, why, who, now)
    return fresh


def note_change(
    key: str, contribution: Contribution, what: str, note: str, who: User, now: datetime.datetime
) -> None:
    """Keep what was changed on a contribution, by whom and why."""
    ContributionChange.objects.create(
        key=key, made_by=who, made_at=now, contribution=contribution, what=what, note=note
    )


def _sheet_key(supporter: Supporter, month: datetime.date) -> str:
    """Return the key of a supporter's month on the sheet: a new one after each striking out."""
    key = f"month:{supporter.pk}:{month:%Y-%m}"
    struck = Contribution.objects.filter(key__startswith=f"{key}:", struck_at__isnull=False)
    return f"{key}:{struck.count()}"


def _fresh(contribution: Contribution) -> Contribution:
    take_turn()
    return Contribution.objects.select_related("supporter", "level").get(pk=contribution.pk)


def _done_before(key: str, contribution: Contribution, what: str) -> bool:
    before = ContributionChange.objects.filter(key=key).first()
    if before is None:
        return False
    refuse_other((before.contribution_id, before.what), (contribution.pk, what))
    return True
