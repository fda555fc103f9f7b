"""Every write of the tags' tables: print runs, and the sheets, printers and words they use."""

import datetime
import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import TypeVar

from django.db import models, transaction

from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import Change, User
from vendor.house.turns import take_turn
from vendor.labels.article import OWN_PREFIX, own_number, read_number
from vendor.labels.held import refuse_held
from vendor.labels.job import Job, job_of
from vendor.labels.models import (
    ArticleNumber,
    LabelPrinter,
    LabelSheet,
    PrintedTag,
    PrintRun,
    TagDress,
)
from vendor.labels.pdf import TagsRefused
from vendor.ware.models import Grade, Ware

Row = TypeVar("Row", bound=models.Model)


def print_tags(*, key: str, job: Job, who: User, now: datetime.datetime) -> PrintRun:
    """Write down that tags are printed, with the prices on them; once by its key.

    A page that was gone back to, changed and sent again says something else under the same key:
    that is another print. The sheet, printer and bars are offered first the next time. Refuses a
    job without tags, and (HeldPieces) price tags for pieces that are held.
    """
    if not job.count:
        raise TagsRefused("There are no tags to print. Choose at least one piece to tag.")
    with transaction.atomic():
        take_turn()
        before = PrintRun.objects.filter(key=key).first()
        if before is not None and _digest(job_of(before)) != _digest(job):
            key = f"{key[:31]}-{_digest(job)}"
            before = PrintRun.objects.filter(key=key).first()
        if before is not None:
            return print_again(run=before, start=job.start, who=who, now=now)
        refuse_held(job)
        run = PrintRun.objects.create(
            key=key,
            kind=job.kind,
            symbol=job.symbol,
            sheet=job.sheet,
            printer=job.printer,
            start=job.start,
            tax_said=job.tax_said,
            names_said=job.names_said,
            offer_count=job.offer_count,
            offer_price=job.offer_price,
            source=job.source[:60],
            made_by=who,
            made_at=now,
        )
        PrintedTag.objects.bulk_create(_lines(run, job))
        _remember(job)
    return run


def _digest(job: Job) -> str:
    """Return a short fingerprint of what a job prints, the place where it begins left aside."""
    items = [
        (
            item.quantity,
            item.ware.pk if item.ware else None,
            item.grade,
            item.price,
            item.tier_id,
            item.hold.pk if item.hold else None,
            item.firing_id,
            item.words,
        )
        for item in job.items
    ]
    how = (
        job.kind, job.symbol, job.sheet.pk, job.printer.pk, job.tax_said, job.names_said,
        job.offer_count, job.offer_price,
    )  # fmt: skip
    told = json.dumps([how, items], default=str)
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def _lines(run: PrintRun, job: Job) -> list[PrintedTag]:
    return [
        PrintedTag(
            run=run,
            ware=item.ware,
            grade=item.grade,
            quantity=item.quantity,
            price=item.price,
            tier_id=item.tier_id,
            hold=item.hold,
            firing_id=item.firing_id,
            words=item.words[:120],
        )
        for item in job.items
    ]


def _remember(job: Job) -> None:
    dress, _ = TagDress.objects.get_or_create(pk=1)
    dress.sheet, dress.printer = job.sheet, job.printer
    if any(item.price is not None for item in job.items):
        dress.symbol = job.symbol
    dress.save(update_fields=["sheet", "printer", "symbol"])


def print_again(*, run: PrintRun, start: int, who: User, now: datetime.datetime) -> PrintRun:
    """Let a run begin at another label; refuses one that its sheet doesn't have."""
    run.sheet.sheet.pages_for(1, start)
    run.start = start
    return _kept(run, who, now)


def strike_run(*, run: PrintRun, who: User, now: datetime.datetime) -> PrintRun:
    """Say that the tags of a run were never put on pieces: they count no more. Once is enough."""
    if run.struck_at is None:
        run.struck_at, run.struck_by = now, who
    return _kept(run, who, now)


def restore_run(*, run: PrintRun, who: User, now: datetime.datetime) -> PrintRun:
    """Take the striking of a run back."""
    run.struck_at = run.struck_by = None
    return _kept(run, who, now)


def keep_sheet(
    *, sheet: LabelSheet, key: str = "", who: User, now: datetime.datetime
) -> LabelSheet:
    """Save a sheet's numbers; refuses a sheet that can't be, with every fault as a sentence."""
    faults = sheet.sheet.faults()
    if faults:
        raise Refused(" ".join(faults))
    return _kept(sheet, who, now, key)


def keep_printer(
    *, printer: LabelPrinter, key: str = "", who: User, now: datetime.datetime
) -> LabelPrinter:
    """Save a printer; refuses numbers that no printer has."""
    faults = printer.printing.faults()
    if faults:
        raise Refused(" ".join(faults))
    return _kept(printer, who, now, key)


def give_numbers(
    *, numbers: Mapping[tuple[int, str], str], who: User, now: datetime.datetime
) -> None:
    """Give ware, by ware and grade, the article numbers as typed; an empty text takes one away.

    All or nothing. Refuses digits that are no article number, and a number that is given twice.
    """
    with transaction.atomic():
        take_turn()
        told = _numbers_told(numbers)
        for ware_id, grade in numbers:
            ArticleNumber.objects.filter(ware_id=ware_id, grade=grade).delete()
        for (ware_id, grade), text in numbers.items():
            number = read_number(text) if text.strip() else ""
            other = ArticleNumber.objects.filter(number=number)
            taken = other.select_related("ware__form", "ware__finish").first()
            if taken is not None:
                raise Refused(
                    f"{taken.ware.name} has the number {number} already. Nothing was saved. "
                    "Each ware and grade has a number of its own."
                )
            if number:
                ArticleNumber.objects.create(ware_id=ware_id, grade=grade, number=number)
        for ware, differences in told:
            changes.note(ware, Change.What.CHANGED, differences, who=who, now=now)


def _numbers_told(
    numbers: Mapping[tuple[int, str], str],
) -> list[tuple[Ware, list[changes.Difference]]]:
    """Return for each ware whose numbers become others which one was and which it will be."""
    had = {
        (row.ware_id, row.grade): row.number
        for row in ArticleNumber.objects.filter(ware_id__in={ware_id for ware_id, _ in numbers})
    }
    told: dict[int, list[changes.Difference]] = {}
    for (ware_id, grade), text in numbers.items():
        before = had.get((ware_id, grade), "")
        after = read_number(text) if text.strip() else ""
        if before != after:
            label = f"article number, {Grade(grade).label.lower()}"
            told.setdefault(ware_id, []).append((label, before, after))
    return [(ware, told[ware.pk]) for ware in Ware.objects.named().filter(pk__in=told)]


def number_all(*, spots: Sequence[tuple[int, str]], who: User, now: datetime.datetime) -> int:
    """Give each ware and grade that has no number the next of the studio's own range.

    Returns how many were given. The next is above all that ware has now.
    """
    with transaction.atomic():
        take_turn()
        had = set(ArticleNumber.objects.values_list("ware_id", "grade"))
        own = ArticleNumber.objects.filter(number__startswith=OWN_PREFIX).order_by("-number")
        last = own.values_list("number", flat=True).first()
        begin = int(last[len(OWN_PREFIX) : -1]) + 1 if last else 1
        new = [spot for spot in spots if spot not in had]
        given = {spot: own_number(count) for count, spot in enumerate(new, start=begin)}
        told = _numbers_told(given)
        ArticleNumber.objects.bulk_create(
            ArticleNumber(ware_id=ware_id, grade=grade, number=number)
            for (ware_id, grade), number in given.items()
        )
        for ware, differences in told:
            changes.note(ware, Change.What.CHANGED, differences, who=who, now=now)
    return len(given)


def keep_dress(
    *, dress: TagDress, mark: bytes | None, who: User, now: datetime.datetime
) -> TagDress:
    """Save what tags carry, and the studio's mark where a new one is given."""
    if mark is not None:
        dress.mark = mark
    return _kept(dress, who, now)


def _kept(row: Row, who: User, now: datetime.datetime, key: str = "") -> Row:
    """Save a row that its rules allow with the note of it; what its form has made is answered."""
    with transaction.atomic():
        take_turn()
        if (made := changes.made_before(row, key)) is not None:
            return made
        row.full_clean()
        return changes.keep(row, who=who, now=now, key=key)
