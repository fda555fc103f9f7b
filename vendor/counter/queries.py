"""What the page at the stall shows: the stall as it stands, and the sales of a day."""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F, Q, Sum
from django.urls import reverse

from vendor.counter.models import Commission, Deposit, Payment, Sale, SaleLine
from vendor.counter.ways import IN_WORDS
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.ware.models import Grade


@dataclass(frozen=True, slots=True)
class Standing:
    """Which weekend is being sold on: the current or coming one of a fair."""

    weekend: Weekend
    days: tuple[datetime.date, ...]
    today: datetime.date

    @property
    def day(self) -> datetime.date:
        """Today where it is a selling day, else the next one, else the last."""
        coming = [day for day in self.days if day >= self.today]
        return coming[0] if coming else self.days[-1]

    @property
    def is_selling_day(self) -> bool:
        """Whether the stall is open today."""
        return self.today in self.days


@dataclass(frozen=True, slots=True)
class SoldRow:
    """One sale of the day's running list (amounts in minor units)."""

    key: str
    number: int
    receipt: str
    sold_at: str
    seller: str
    seller_id: int
    pieces: int
    what: str
    names: tuple[str, ...]
    quantities: tuple[int, ...]
    received: int
    tips: int
    methods: tuple[str, ...]
    found: int
    by_count: bool
    undone: str


@dataclass(frozen=True, slots=True)
class OrderedRow:
    """One commission taken on the day (amounts in minor units); without the customer's name."""

    key: str
    number: int
    at: str
    what: str
    deposit: int
    method: str
    slip: str
    seller: str


def standings(*, today: datetime.date) -> list[Standing]:
    """Return the weekends to sell on, one a fair, the current or nearest first (two statements).

    A weekend that is over counts until it is closed, where its fair has none to come.
    """
    weekends = Weekend.objects.select_related("fair__stall", "fair__tier").filter(
        Q(fair__stall__closed_through__isnull=True)
        | Q(last_day__gt=F("fair__stall__closed_through"))
    )
    days: dict[int, list[datetime.date]] = defaultdict(list)
    for weekend_id, day in SellingDay.objects.values_list("weekend_id", "day"):
        days[weekend_id].append(day)
    nearest: dict[int, Weekend] = {}
    for weekend in sorted(weekends, key=lambda each: _distance(each, today)):
        if days[weekend.pk]:
            nearest.setdefault(weekend.fair_id, weekend)
    return [Standing(each, tuple(days[each.pk]), today) for each in nearest.values()]


def standing_of(fair: Fair, *, today: datetime.date) -> Standing | None:
    """Return a fair's weekend to sell on, or None where all are closed (two statements)."""
    there = standings(today=today)
    return next((each for each in there if each.weekend.fair_id == fair.pk), None)


def standing_near(fair_id: int | None, *, today: datetime.date) -> Standing | None:
    """Return a fair's weekend to sell on, else the nearest of any; None where all are closed."""
    there = standings(today=today)
    own = [each for each in there if each.weekend.fair_id == fair_id]
    return next(iter(own or there), None)


def _distance(weekend: Weekend, today: datetime.date) -> tuple[bool, int, int]:
    """Sort what is on or coming before what is over, and the nearest first."""
    over = weekend.last_day < today
    days = (today - weekend.last_day if over else weekend.first_day - today).days
    return over, max(days, 0), weekend.pk


def days_sales(*, fair: Fair, day: datetime.date) -> list[SoldRow]:
    """Return a day's sales, the latest first, undone ones too (three statements)."""
    sales = (
        Sale.objects.filter(fair=fair, day=day)
        .select_related("seller", "undoing")
        .prefetch_related("lines", "payments")
        .order_by("-number")
    )
    return [_row(sale) for sale in sales]


def _row(sale: Sale) -> SoldRow:
    lines, payments = list(sale.lines.all()), list(sale.payments.all())
    return SoldRow(
        key=sale.key,
        number=sale.number,
        receipt=reverse("counter:sale", args=[sale.pk]),
        sold_at=sale.sold_at.isoformat(),
        seller=str(sale.seller),
        seller_id=sale.seller_id,
        pieces=sale.pieces,
        what=", ".join(str(line) for line in lines),
        names=tuple(line.name for line in lines),
        quantities=tuple(line.quantity for line in lines),
        received=sum(payment.amount for payment in payments),
        tips=sum(payment.tip for payment in payments),
        methods=tuple(Payment.Method(payment.method).label for payment in payments),
        found=sum(line.found for line in lines),
        by_count=sale.by_count,
        undone=sale.undoing.reason if hasattr(sale, "undoing") else "",
    )


def sold_before(weekend: Weekend, *, day: datetime.date) -> dict[str, int]:
    """Return the firsts sold on a weekend before a day, by ware's code (one statement)."""
    lines = SaleLine.objects.filter(
        sale__weekend=weekend, sale__day__lt=day, sale__undoing__isnull=True, grade=Grade.FIRST
    )
    return dict(lines.order_by().values_list("ware__code").annotate(Sum("quantity")))


def days_commissions(*, fair: Fair, day: datetime.date) -> list[OrderedRow]:
    """Return a day's commissions, the latest first (two statements)."""
    made = Commission.objects.filter(fair=fair, day=day).select_related(
        "seller", "commitment__ware__form", "commitment__ware__finish", "commitment__form",
        "commitment__finish", "commitment__reward",
    )  # fmt: skip
    deposits = {each.key: each for each in Deposit.objects.filter(fair=fair, day=day)}
    return [_ordered(each, deposits.get(each.key)) for each in made.order_by("-id")]


def _ordered(made: Commission, deposit: Deposit | None) -> OrderedRow:
    return OrderedRow(
        key=made.key,
        number=made.commitment.number,
        at=made.taken_at.isoformat(),
        what=made.commitment.piece_name,
        deposit=deposit.amount if deposit else 0,
        method=IN_WORDS.get(deposit.method, "") if deposit else "",
        slip=reverse("counter:slip", args=[deposit.pk]) if deposit else "",
        seller=str(made.seller),
    )
