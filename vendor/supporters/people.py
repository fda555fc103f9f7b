"""Who supports the studio: writing supporters down and changing what is known of them.

A second half of `actions`, by the same rules.
"""

import datetime

from django.db import transaction

from vendor.house.models import User
from vendor.ledger.posting import take_turn
from vendor.supporters.models import Supporter
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
        _write_supporter(fresh, name, email, address, note)
    return fresh


def _write_supporter(supporter: Supporter, name: str, email: str, address: str, note: str) -> None:
    supporter.name, supporter.email = " ".join(name.split()), email.strip().lower()
    supporter.address, supporter.note = address.strip(), note.strip()
    cleaned(supporter).save()
