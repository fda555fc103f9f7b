"""Card statements: taking a file in, saying what its columns mean, and why a line stays alone.

A second half of `actions`, by the same rules. Nothing here touches stock or sales.
"""

import datetime
import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict

from django.db import transaction

from vendor.closing.card_pages import card_page
from vendor.closing.card_rows import Columns
from vendor.closing.models import CardColumns, CardNote, CardPair, CardStatement
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.house.table_file import read_file
from vendor.ledger.posting import take_turn


def take_statement(
    *, key: str, weekend: Weekend, name: str, content: bytes, who: User, now: datetime.datetime
) -> CardStatement:
    """Read a CSV or XLSX file and keep its rows; the same contents again answer the first.

    The columns of a file with the same heads are remembered. Refuses what is no table.
    """
    sheet = read_file(name, content)
    digest = _fingerprint([sheet.head, *sheet.rows])
    with transaction.atomic():
        take_turn()
        standing = CardStatement.objects.filter(weekend=weekend, removed_at__isnull=True)
        before = (
            CardStatement.objects.filter(key=key).first() or standing.filter(digest=digest).first()
        )
        if before is not None:
            return before
        known = CardColumns.objects.filter(head=_fingerprint(sheet.head)).first()
        return CardStatement.objects.create(
            key=key,
            weekend=weekend,
            name=name[-200:],
            digest=digest,
            head=sheet.head,
            rows=sheet.rows,
            columns=known.columns if known else None,
            mapped_by=known.said_by if known else None,
            mapped_at=known.said_at if known else None,
            made_by=who,
            made_at=now,
        )


def map_statement(
    *, statement: CardStatement, columns: Columns, who: User, now: datetime.datetime
) -> CardStatement:
    """Say what the columns of a statement mean, and remember it for the next with these heads."""
    if not columns.amount or not columns.day:
        raise Refused("A statement needs an amount and a day. Nothing was saved: choose both.")
    chosen = [columns.amount, columns.day, columns.time, columns.fee, columns.text]
    if any(head and head not in statement.head for head in chosen):
        raise Refused("The file has no such column. Nothing was saved: choose from its heads.")
    with transaction.atomic():
        take_turn()
        fresh = CardStatement.objects.get(pk=statement.pk)
        if fresh.columns == asdict(columns):
            return fresh
        fresh.columns, fresh.mapped_by, fresh.mapped_at = asdict(columns), who, now
        fresh.save(update_fields=["columns", "mapped_by", "mapped_at"])
        CardColumns.objects.update_or_create(
            head=_fingerprint(fresh.head),
            defaults={"columns": fresh.columns, "said_by": who, "said_at": now},
        )
    return fresh


def remove_statement(
    *, statement: CardStatement, who: User, now: datetime.datetime
) -> CardStatement:
    """Take a statement out of the comparison; it is kept, with who took it out and when."""
    if statement.removed_at is None:
        statement.removed_at, statement.removed_by = now, who
        statement.save(update_fields=["removed_at", "removed_by"])
    return statement


def pair_by_hand(
    *,
    key: str,
    weekend: Weekend,
    abouts: Sequence[str],
    reason: str,
    who: User,
    now: datetime.datetime,
) -> CardPair:
    """Say that lines and card sales that were left over belong together, once by the key.

    Refused without both a line and a sale, of what has a partner by now, and where they come to
    different amounts and no reason is given.
    """
    with transaction.atomic():
        take_turn()
        before = CardPair.objects.filter(key=key).first()
        if before is not None:
            return before
        page = card_page(weekend, the_studio())
        lines = [line for line in page.lines_left if line.about in abouts]
        sales = [sale for sale in page.sales_left if sale.about in abouts]
        if not lines or not sales or len(lines) + len(sales) != len(set(abouts)):
            raise Refused(
                "A match needs at least one sale and one line that have no partner yet. Nothing "
                "was saved: tick both."
            )
        differs = sum(line.told.amount for line in lines) != sum(sale.amount for sale in sales)
        if differs and not reason.strip():
            raise Refused("The amounts differ. Nothing was saved: tick them again and say why.")
        return CardPair.objects.create(
            key=key, weekend=weekend, lines=[line.about for line in lines],
            sales=[sale.about for sale in sales], made_by=who, made_at=now,
            reason=reason_of(reason) if reason.strip() else "",
        )  # fmt: skip


def take_apart(*, pair: CardPair, who: User, now: datetime.datetime) -> CardPair:
    """Undo a match by hand; it is kept, with who took it apart and when."""
    if pair.removed_at is None:
        pair.removed_at, pair.removed_by = now, who
        pair.save(update_fields=["removed_at", "removed_by"])
    return pair


def note_left(
    *, key: str, weekend: Weekend, about: str, reason: str, who: User, now: datetime.datetime
) -> CardNote:
    """Say why a line or a card sale has no partner; the latest word holds."""
    with transaction.atomic():
        take_turn()
        before = CardNote.objects.filter(key=key).first()
        if before is not None:
            return before
        made = CardNote(
            key=key,
            weekend=weekend,
            about=about,
            reason=reason_of(reason),
            made_by=who,
            made_at=now,
        )
        made.full_clean()
        made.save()
    return made


def _fingerprint(said: object) -> str:
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()
