"""Importing contributions from a file: read, look at row by row, then write, all or nothing.

A second half of `actions`, by the same rules. Every row has a key of its own, so that a file, or
two that overlap, can be imported again and again.
"""

import datetime
import hashlib
import json
from dataclasses import asdict

from django.db import transaction

from vendor.house import changes
from vendor.house.models import Change, User
from vendor.house.studio import the_studio
from vendor.house.table_file import read_file
from vendor.ledger.posting import take_turn
from vendor.supporters import judging
from vendor.supporters.contributing import What, note_change
from vendor.supporters.credit_values import Kind
from vendor.supporters.errors import NotNow
from vendor.supporters.judging import CHANGED, NEW, REJECTED, SAME, Verdict
from vendor.supporters.mapping import Columns
from vendor.supporters.models import ColumnMapping, Contribution, ContributionFile
from vendor.supporters.people import add_supporter
from vendor.supporters.steps import cleaned


def take_file(
    *, key: str, name: str, content: bytes, who: User, now: datetime.datetime
) -> ContributionFile:
    """Read a file and keep its rows to be looked at; nothing counts yet.

    Refuses (reading.Unreadable) what is no table.
    """
    sheet = read_file(name, content)
    with transaction.atomic():
        take_turn()
        before = ContributionFile.objects.filter(key=key).first()
        if before is not None:
            return before
        new = ContributionFile(
            key=key, made_by=who, made_at=now, name=name[-200:], head=sheet.head, rows=sheet.rows
        )
        known = ColumnMapping.objects.filter(head=_fingerprint(sheet.head)).first()
        new.columns = known.columns if known else None
        cleaned(new).save()
    return new


def map_columns(
    *, file: ContributionFile, columns: Columns, who: User, now: datetime.datetime
) -> ContributionFile:
    """Say what the columns of a file mean, and remember it for files with the same head."""
    with transaction.atomic():
        fresh = ContributionFile.objects.select_for_update().get(pk=file.pk)
        _refuse_imported(fresh)
        if fresh.columns == asdict(columns):
            return fresh
        fresh.columns = asdict(columns)
        fresh.save(update_fields=["columns"])
        _note(fresh, "meaning of its columns", who, now)
        ColumnMapping.objects.update_or_create(
            head=_fingerprint(fresh.head), defaults={"columns": fresh.columns}
        )
    return fresh


def import_file(*, file: ContributionFile, who: User, now: datetime.datetime) -> ContributionFile:
    """Write what a file's rows tell; the rejected ones are kept to be taken away, the rest go.

    A file that has been imported is answered with what it did then. Supporters who are not known
    are written down first, where the mapping allows it.
    """
    with transaction.atomic():
        take_turn()
        fresh = ContributionFile.objects.get(pk=file.pk)
        if fresh.is_imported:
            return fresh
        if fresh.columns is None:
            raise NotNow("Say first what the columns of this file mean. Nothing was imported.")
        columns, studio = Columns.from_json(fresh.columns), the_studio()
        _add_people(judging.judge(fresh, columns, studio), who, now)
        # Judged again: the new supporters are known now, and rows have their lasting keys.
        verdicts = judging.judge(fresh, columns, studio)
        _write(fresh, verdicts, who, now)
        counts = [sum(each.verdict == what for each in verdicts) for what in (NEW, CHANGED, SAME)]
        fresh.added, fresh.changed, fresh.same = counts
        fresh.rejected = [
            [each.number, each.why, *fresh.rows[each.number - 2]]
            for each in verdicts
            if each.verdict == REJECTED
        ]
        fresh.rows, fresh.imported_at, fresh.imported_by = [], now, who
        cleaned(fresh).save()
    return fresh


def forget_rows(*, file: ContributionFile, who: User, now: datetime.datetime) -> ContributionFile:
    """Forget the rows of a file that were rejected, or all of one that was not imported."""
    with transaction.atomic():
        fresh = ContributionFile.objects.select_for_update().get(pk=file.pk)
        if fresh.rows or fresh.rejected:
            fresh.rows, fresh.rejected = [], []
            fresh.save(update_fields=["rows", "rejected"])
            _note(fresh, "its rows, forgotten", who, now)
    return fresh


def _note(file: ContributionFile, what: str, who: User, now: datetime.datetime) -> None:
    """Note what was changed on a file; never what its rows say, for they name people."""
    changes.note(file, Change.What.CHANGED, [(what, None, None)], who=who, now=now)


def _add_people(verdicts: list[Verdict], who: User, now: datetime.datetime) -> None:
    """Write down who is not known yet: one person per e-mail address, else per name.

    Addresses come first, so that a row with the name alone finds the person that it means.
    """
    strangers = [
        each.told
        for each in verdicts
        if each.told is not None and each.supporter is None and each.verdict != REJECTED
    ]
    named: set[str] = set()
    for told in sorted(strangers, key=lambda told: (not told.email, told.email, told.name)):
        name = told.name or told.email.split("@")[0]
        if not told.email and name.casefold() in named:
            continue
        named.add(name.casefold())
        key = hashlib.sha256(f"{told.email or name.casefold()}|{now}".encode()).hexdigest()
        add_supporter(key=key, name=name, email=told.email, who=who, now=now)


def _write(
    file: ContributionFile, verdicts: list[Verdict], who: User, now: datetime.datetime
) -> None:
    """Write new contributions in one go, and the changes of those that were there before."""
    last = {each.key: each for each in verdicts if each.verdict in (NEW, CHANGED) and each.key}
    stored = {row.key: row for row in Contribution.objects.filter(key__in=last.keys())}
    fresh = []
    for key, each in last.items():
        assert each.told is not None
        assert each.supporter is not None
        assert each.level is not None
        assert each.state is not None
        row = stored.get(key) or Contribution(
            key=key,
            made_by=who,
            made_at=now,
            supporter=each.supporter,
            level=each.level,
            month=each.told.month,
            amount=each.told.amount,
            reference=each.told.reference,
            file=file,
        )
        failed = row.kind == Contribution.Kind.FAILED
        refunded = row.refunded_on
        row.kind, row.on, row.refunded_on = each.state.kind, each.state.on, each.state.refunded_on
        if key not in stored:
            fresh.append(row)
            continue
        row.save(update_fields=["kind", "on", "refunded_on"])
        if failed and each.state.kind is Kind.PAID:
            note_change(f"{file.key}:p:{row.pk}", row, What.PAID, file.name, who, now)
        if refunded is None and row.refunded_on is not None:
            note_change(f"{file.key}:r:{row.pk}", row, What.REFUNDED, file.name, who, now)
    Contribution.objects.bulk_create(fresh)


def _refuse_imported(file: ContributionFile) -> None:
    if file.is_imported:
        raise NotNow("This file has been imported. Nothing was changed: send it again to start.")


def _fingerprint(head: list[str]) -> str:
    return hashlib.sha256(json.dumps(head).encode()).hexdigest()
