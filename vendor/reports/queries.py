"""What sold at a fair: by ware and weekend, pieces and money, less what came back.

A sale that was undone as a whole counts nowhere. A piece that was taken back counts against the
weekend in which it came back. Money is in minor units: net (without tax), tax, and both.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, QuerySet, Sum

from vendor.counter import deposits
from vendor.counter.models import Payment, Sale, SaleLine, TakenBack, TakenBackLine, Way
from vendor.fairs.models import Fair, Weekend
from vendor.house.money import half_up
from vendor.ledger.posting import piece
from vendor.ware.models import Ware


@dataclass(slots=True)
class Sold:
    """Pieces and money of one ware and grade, or of all."""

    pieces: int = 0
    net: int = 0
    tax: int = 0
    by_weekend: dict[int, int] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """What customers paid: net and tax together."""
        return self.net + self.tax

    def add(self, weekend: int, pieces: int, net: int, tax: int) -> None:
        """Add (or, with negative figures, take away) what sold in one weekend."""
        self.pieces += pieces
        self.net += net
        self.tax += tax
        self.by_weekend[weekend] = self.by_weekend.get(weekend, 0) + pieces


@dataclass(slots=True)
class SoldRow:
    """What sold of one ware and grade; `sold` has its figures."""

    ware: Ware
    grade: str
    sold: Sold

    @property
    def name(self) -> str:
        """The ware in words."""
        return piece(self.ware, self.grade)

    @property
    def each(self) -> int:
        """The average net price of a piece, rounded half up; 0 where none sold."""
        return _rounded_share(self.sold.net, self.sold.pieces)


@dataclass(frozen=True, slots=True)
class WeekendRow:
    """One weekend of a fair: sales taken, pieces, and money by how it was paid.

    Cash, card and other have the deposits in them that came, less those that went back. `deposits`
    is by how much more was held for customers in the end, `kept` what was kept of cancelled ones:
    what came in is the total with both (and the rounding of cash).
    """

    weekend: Weekend
    sales: int
    pieces: int
    net: int
    tax: int
    cash: int
    card: int
    other: int
    deposits: int = 0
    kept: int = 0

    @property
    def has_begun(self) -> bool:
        """Whether anything has been sold, ordered or brought back, or it has been closed."""
        return bool(self.sales or self.pieces or self.total or self.has_deposits or self.standing)

    @property
    def has_deposits(self) -> bool:
        """Whether deposits came, went or became sales."""
        return bool(self.deposits or self.kept)

    @property
    def days(self) -> str:
        """The weekend's days in words."""
        return self.weekend.span

    @property
    def standing(self) -> str:
        """Whether it is closed; the weekends come with their fair and stall."""
        return "closed" if self.weekend.is_closed else ""

    @property
    def total(self) -> int:
        """Net and tax together."""
        return self.net + self.tax


@dataclass(frozen=True, slots=True)
class WhatSold:
    """The what-sold report of one fair."""

    fair: Fair
    weekends: list[Weekend]
    rows: list[SoldRow]
    all: Sold


def what_sold(fair: Fair) -> WhatSold:
    """Return what sold at a fair by ware and grade (four statements)."""
    weekends = list(fair.weekends.all())
    none = {weekend.number: 0 for weekend in weekends}
    found: dict[tuple[int, str], Sold] = defaultdict(lambda: Sold(by_weekend=dict(none)))
    everything = Sold()
    for sign, lines in ((1, _sold_lines(fair)), (-1, _returned_lines(fair))):
        for ware_id, grade, weekend, pieces, net, tax in lines:
            found[ware_id, grade].add(weekend, sign * pieces, sign * net, sign * tax)
            everything.add(weekend, sign * pieces, sign * net, sign * tax)
    ware = Ware.objects.named().filter(pk__in={ware_id for ware_id, _ in found})
    rows = [
        SoldRow(each, grade, found[each.pk, grade])
        for each in ware
        for grade in ("first", "second")
        if (each.pk, grade) in found
    ]
    return WhatSold(fair, weekends, rows, everything)


def by_weekend(fair: Fair) -> list[WeekendRow]:
    """Return each weekend's sales, pieces and money (eight statements)."""
    weekends = list(fair.weekends.select_related("fair__stall"))
    taken = _by_weekend(
        Sale.objects.filter(fair=fair, undoing__isnull=True),
        sales=Count("pk"), sold=Sum("pieces"), money=Sum("net"), taxes=Sum("tax"),
    )  # fmt: skip
    came_back = _by_weekend(
        TakenBack.objects.filter(sale__fair=fair), money=Sum("net"), taxes=Sum("tax")
    )
    pieces_back = dict(
        TakenBackLine.objects.filter(taken_back__sale__fair=fair)
        .order_by()
        .values_list("taken_back__weekend_id")
        .annotate(sum=Sum("quantity"))
    )
    paid = _paid(fair)
    held = deposits.changes(fair)
    rows = []
    for weekend in weekends:
        out, back = taken.get(weekend.pk, {}), came_back.get(weekend.pk, {})
        method, change = paid.get(weekend.pk, {}), held.get(weekend.pk, deposits.Change({}))
        got = {way: method.get(way, 0) + change.received.get(way, 0) for way in Way.values}
        rows.append(
            WeekendRow(
                weekend=weekend,
                sales=out.get("sales", 0),
                pieces=out.get("sold", 0) - pieces_back.get(weekend.pk, 0),
                net=out.get("money", 0) - back.get("money", 0),
                tax=out.get("taxes", 0) - back.get("taxes", 0),
                cash=got[Way.CASH],
                card=got[Way.CARD],
                other=got[Way.OTHER],
                deposits=change.held,
                kept=change.kept,
            )
        )
    return rows


def _sold_lines(fair: Fair) -> "QuerySet[SaleLine, tuple[Any, ...]]":
    return (
        SaleLine.objects.filter(sale__fair=fair, sale__undoing__isnull=True)
        .order_by()
        .values_list("ware_id", "grade", "sale__weekend__number")
        .annotate(Sum("quantity"), Sum("net"), Sum("tax"))
    )


def _returned_lines(fair: Fair) -> "QuerySet[TakenBackLine, tuple[Any, ...]]":
    return (
        TakenBackLine.objects.filter(taken_back__sale__fair=fair)
        .order_by()
        .values_list("line__ware_id", "line__grade", "taken_back__weekend__number")
        .annotate(Sum("quantity"), Sum("net"), Sum("tax"))
    )


def _by_weekend(rows: "QuerySet[Any]", **sums: Any) -> dict[int, dict[str, int]]:
    grouped = rows.order_by().values("weekend_id").annotate(**sums)
    return {row["weekend_id"]: row for row in grouped}


def _paid(fair: Fair) -> dict[int, dict[str, int]]:
    """Return by weekend how sales were paid, less what was given back the same way."""
    paid: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    payments = (
        Payment.objects.filter(sale__fair=fair, sale__undoing__isnull=True)
        .order_by()
        .values_list("sale__weekend_id", "method")
        .annotate(sum=Sum("amount"))
    )
    for weekend_id, method, amount in payments:
        paid[weekend_id][method] += amount
    back = (
        TakenBack.objects.filter(sale__fair=fair)
        .order_by()
        .values_list("weekend_id", "method")
        .annotate(sum=Sum("total") + Sum("cash_rounding") - Sum("set_off"))
    )
    for weekend_id, method, amount in back:
        paid[weekend_id][method] -= amount
    return paid


def _rounded_share(amount: int, pieces: int) -> int:
    return half_up(amount, pieces) if pieces > 0 else 0
