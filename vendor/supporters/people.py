"""Who supports the studio: writing supporters down, changing, exporting and erasing what is known.

A second half of `actions`, by the same rules.
"""

import datetime
import re
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from vendor.house import changes
from vendor.house.models import User
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Answer, Commitment, ContributionFile, Reward, Supporter
from vendor.supporters.steps import cleaned

# Fewer digits than this are no phone number.
SHORTEST_NUMBER = 5


def add_supporter(
    *,
    key: str,
    name: str,
    email: str = "",
    phone: str = "",
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
        _fill_in(new, name, email, phone, address, note).save()
    return new


def change_supporter(
    *,
    supporter: Supporter,
    name: str,
    email: str = "",
    phone: str = "",
    address: str = "",
    note: str = "",
    who: User,
    now: datetime.datetime,
) -> Supporter:
    """Change what is known of a supporter; the same again changes nothing."""
    with transaction.atomic():
        take_turn()
        fresh = Supporter.objects.get(pk=supporter.pk)
        if fresh.is_erased:
            raise NotNow("What was known of this supporter is erased. Nothing was changed.")
        changes.keep(_fill_in(fresh, name, email, phone, address, note), who=who, now=now)
    return fresh


def the_customer(
    *, key: str, name: str, contact: str, who: User, now: datetime.datetime
) -> Supporter:
    """Return the person of this name and contact (e-mail or phone), written down where new.

    The same name alone is the same person only where neither has a contact. Somebody else's e-mail
    address is written as another way to reach them: it can stand for one person only.
    """
    name, contact = " ".join(name.split()), contact.strip()
    email = contact.lower() if _is_email(contact) else ""
    with transaction.atomic():
        take_turn()
        namesakes = Supporter.objects.known().filter(name__iexact=name).order_by("id")
        found = next((one for one in namesakes if _is_reached(one, contact)), None)
        if found is not None:
            return found
        if Supporter.objects.filter(email=email).exclude(email="").exists():
            email = ""
        phone = "" if email else contact
        return add_supporter(key=key, name=name, email=email, phone=phone, who=who, now=now)


def set_aim(
    *, supporter: Supporter, aim: Reward | None, who: User, now: datetime.datetime
) -> Supporter:
    """Say which reward a supporter saves for; None: what their level usually leads to."""
    with transaction.atomic():
        take_turn()
        fresh = Supporter.objects.get(pk=supporter.pk)
        fresh.aim = aim
        changes.keep(fresh, who=who, now=now)
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
        fresh.email = fresh.phone = fresh.address = fresh.note = ""
        fresh.erased_at, fresh.erased_by = now, who
        fresh.save()
        fresh.commitments.update(choices="", note="", making_note="", end_note="")
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
        "phone": supporter.phone,
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
                "agreed": each.note,
                "price_minor": each.price,
                "paid_in_advance_minor": each.paid,
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


def _is_email(contact: str) -> bool:
    try:
        validate_email(contact)
    except ValidationError:
        return False
    return True


def _is_reached(one: Supporter, contact: str) -> bool:
    """Tell whether a contact is one of theirs; of phone numbers, the digits count."""
    if not contact:
        return not one.email and not one.phone
    digits = [re.sub(r"\D", "", text) for text in (contact, one.phone)]
    same_number = len(digits[0]) >= SHORTEST_NUMBER and digits[0] == digits[1]
    return contact.casefold() in (one.email.casefold(), one.phone.casefold()) or same_number


def _fill_in(
    supporter: Supporter, name: str, email: str, phone: str, address: str, note: str
) -> Supporter:
    """Return a supporter with what is known of them, by the rules, not saved yet."""
    supporter.name, supporter.email = " ".join(name.split()), email.strip().lower()
    supporter.phone = phone.strip()
    supporter.address, supporter.note = address.strip(), note.strip()
    return cleaned(supporter)
