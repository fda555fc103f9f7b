"""What the owner's tray shows: the documents that wait, and what to decide about each."""

import datetime
from dataclasses import dataclass
from typing import cast

from vendor.counter.commission_document import CommissionDocument
from vendor.counter.commission_document import parse as parse_commission
from vendor.counter.document import LineSeen, SaleDocument, parse
from vendor.counter.models import Unsettled
from vendor.counter.queries import Standing, standing_near
from vendor.counter.settling import unknown_codes
from vendor.ledger.models import Hold
from vendor.ware.models import Form, Grade, Ware


@dataclass(frozen=True, slots=True)
class Waiting:
    """One kept document, with what its seller saw and what there is to choose."""

    unsettled: Unsettled
    document: SaleDocument
    unknown: tuple[str, ...]
    standing: Standing | None
    holds: tuple[Hold, ...]

    @property
    def lines(self) -> tuple[LineSeen, ...]:
        """What was sold, as the seller saw it."""
        return self.document.lines

    @property
    def received(self) -> int:
        """What the page said was paid, in minor units."""
        return self.document.figures.total + self.document.figures.cash_rounding

    @property
    def day(self) -> datetime.date | None:
        """The selling day that it most likely belongs to."""
        return self.standing.day if self.standing else None


@dataclass(frozen=True, slots=True)
class WaitingCommission:
    """One kept commission, with what its seller wrote and what there is to choose."""

    unsettled: Unsettled
    document: CommissionDocument
    ware: Ware | None
    form: Form | None
    standing: Standing | None


def waiting_count() -> int:
    """Return how many documents wait for the owner (one statement)."""
    return Unsettled.objects.filter(settled_at__isnull=True).count()


def waiting() -> list[Unsettled]:
    """Return the documents that wait, oldest first (one statement)."""
    kept = Unsettled.objects.filter(settled_at__isnull=True)
    return list(kept.select_related("weekend__fair", "sent_by").order_by("id"))


def look_at(unsettled: Unsettled, *, today: datetime.date) -> Waiting:
    """Return one document with what there is to choose."""
    document = parse(unsettled.document)
    return Waiting(
        unsettled,
        document,
        tuple(unknown_codes(document)),
        standing_near(document.fair, today=today),
        tuple(_holds(document)),
    )


def look_at_commission(unsettled: Unsettled, *, today: datetime.date) -> WaitingCommission:
    """Return one commission with what there is to choose."""
    document = parse_commission(unsettled.document)
    ware = Ware.objects.filter(code=document.ware, retired=False).first()
    form = Form.objects.filter(code=document.form, retired=False).first()
    standing = standing_near(document.fair, today=today)
    return WaitingCommission(unsettled, document, ware, form, standing)


def _holds(document: SaleDocument) -> list[Hold]:
    """Return the open holds on the pieces that were sold, at the stall of their fair."""
    pieces = {(line.ware, line.grade) for line in document.lines}
    holds = Hold.objects.filter(
        quantity__gt=0, place__fair=document.fair, ware__code__in={code for code, _ in pieces}
    ).select_related("ware")
    return [hold for hold in holds if (hold.ware.code, cast(Grade, hold.grade)) in pieces]
