"""Who supports the studio: writing supporters down, changing, exporting and erasing what is known.

A second half of `actions`, by the same rules.
"""

import datetime
from typing import Any

from django.db import transaction

from vendor.house.models import User
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Answer, Commitment, ContributionFile, Reward, Supporter
from vendor.supporters.steps import cleaned


def add_supporter(
    *,
    key: str,
    name: str,
    email: str = "",
    address: str = "",
    note: str = "",
    who: User,
    now: datetime.datetime,
) -> Supporter:
    """Write a supporter down; the same key again answers with the one that it made."""
    with transaction.atomic():
        take_turn()
        before = Supporter.objects.filter(key=key).first()
        if before is not None:
            return before
        new = Supporter(key=key, made_by=who, made_at=now)
        _write_supporter(new, name, email, address, note)
    return new


def change_supporter(
    *, supporter: Supporter, name: str, email: str = "", address: str = "", note: str = ""
) -> Supporter:
    """Change what is known of a supporter; the same again changes nothing."""
    with transaction.atomic():
        take_turn()
        fresh = Supporter.objects.get(pk=supporter.pk)
        if fresh.is_erased:
            raise NotNow("What was known of this supporter is erased. Nothing was changed.")
        _write_supporter(fresh, name, email, address, note)
    return fresh


def set_aim(*, supporter: Supporter, aim: Reward | None) -> Supporter:
    """Say which reward a supporter saves for; None: what their level usually leads to."""
    with transaction.atomic():
        fresh = Supporter.objects.select_for_update().get(pk=supporter.pk)
        fresh.aim = aim
        fresh.save(update_fields=["aim"])
    return fresh


def erase_supporter(*, supporter: Supporter, who: User, now: datetime.datetime) -> Supporter:
    """Erase what is known of a supporter for good; contributions and promises keep their counts.

    Refused (NotNow) while something is owed to them. Names in files that were imported go too, and
    with them the rejected rows of all files. Erased twice, it is erased once.
    """
    with transaction.atomic():
        take_turn()
        fresh = Supporter.objects.get(pk=supporter.pk)
        if fresh.is_erased:
            return fresh
        owed = fresh.commitments.filter(state__in=Commitment.OPEN).count()
        if owed:
            raise NotNow(
                f"{owed} of their promises are still open. Nothing was erased: keep or cancel "
                "them first."
            )
        fresh.name = f"Erased supporter {fresh.pk}"
        fresh.email = fresh.address = fresh.note = ""
        fresh.erased_at, fresh.erased_by = now, who
        fresh.save()
        fresh.commitments.update(choices="", making_note="", end_note="")
        Answer.objects.filter(commitment__supporter=fresh).delete()
        fresh.parcels.update(tracking="")
        fresh.contributions.update(reference="")
        ContributionFile.objects.update(rows=[], rejected=[])
    return fresh


def everything_about(supporter: Supporter) -> dict[str, Any]:
    """Return all that is kept about a supporter as plain values, to hand over to them."""
    promises = supporter.commitments.named().prefetch_related("answers__question")
    return {
        "name": supporter.name,
        "email": supporter.email,
        "address": supporter.address,
        "note": supporter.note,
        "written_down": supporter.made_at.isoformat(),
        "saving_for": str(supporter.aim) if supporter.aim else None,
        "contributions": [
            {
                "month": f"{each.month:%Y-%m}",
                "level": each.level.name,
                "amount_minor": each.amount,
                "day": each.on.isoformat(),
                "it_was": each.said,
                "reference": each.reference,
            }
            for each in supporter.contributions.select_related("level")
        ],
        "promises": [
            {
                "number": each.number,
                "piece": each.piece_name,
                "asked_for": each.choices,
                "choices": {str(said.question): said.text for said in each.answers.all()},
                "due": each.due_on.isoformat() if each.due_on else None,
                "stage": each.stage,
            }
            for each in promises
        ],
        "parcels": [
            {"sent": each.sent_on.isoformat(), "carrier": each.carrier, "tracking": each.tracking}
            for each in supporter.parcels.all()
        ],
    }


def _write_supporter(supporter: Supporter, name: str, email: str, address: str, note: str) -> None:
    supporter.name, supporter.email = " ".join(name.split()), email.strip().lower()
    supporter.address, supporter.note = address.strip(), note.strip()
    cleaned(supporter).save()
