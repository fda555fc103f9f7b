"""What the page at the stall shows: the stall as it stands, and the sales of a day."""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F, Q
from django.urls import reverse

from vendor.counter.bundles import Bundle
from vendor.counter.models import Payment, Sale
from vendor.counter.pins import sellers
from vendor.counter.prices import listed
from vendor.counter.rung import terms_of
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.house.coins import notes_of
from vendor.house.models import Studio
from vendor.house.money import Currency, format_number
from vendor.ledger import queries as ledger
from vendor.ledger.models import Balance
from vendor.ware import drawing
from vendor.ware.models import Grade, Ware


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
class HeldFor:
    """A hold on the stall, by its number and what it is for (nobody's name)."""

    id: int
    label: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Tile:
    """One ware and grade as the page shows it; `left` is free pieces, `held` those held."""

    ware: str
    grade: str
    name: str
    form: str
    form_code: str
    finish: str
    price: int
    left: int
    held: int
    holds: tuple[HeldFor, ...]
    pot: str
    photo: str


@dataclass(frozen=True, slots=True)
class BundleRule:
    """A bundle that holds today: so many of a form or a ware (by code) for a price."""

    id: int
    name: str
    form: str
    ware: str
    quantity: int
    price: int


@dataclass(frozen=True, slots=True)
class Seller:
    """Somebody who can say by a PIN that they sell."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that the page needs to sell, with or without a network."""

    fair: int
    fair_name: str
    weekend: int
    day: str
    day_name: str
    is_selling_day: bool
    days: tuple[str, ...]
    currency: str
    exponent: int
    language: str
    time_zone: str
    notes: tuple[int, ...]
    terms: dict[str, object]
    bundles: tuple[BundleRule, ...]
    sellers: tuple[Seller, ...]
    tiles: tuple[Tile, ...]


@dataclass(frozen=True, slots=True)
class SoldRow:
    """One sale of the day's running list (amounts in minor units)."""

    key: str
    number: int
    receipt: str
    sold_at: str
    seller: str
    pieces: int
    what: str
    names: tuple[str, ...]
    received: int
    tips: int
    methods: tuple[str, ...]
    found: int
    by_count: bool
    undone: str


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


def _distance(weekend: Weekend, today: datetime.date) -> tuple[bool, int, int]:
    """Sort what is on or coming before what is over, and the nearest first."""
    over = weekend.last_day < today
    days = (today - weekend.last_day if over else weekend.first_day - today).days
    return over, max(days, 0), weekend.pk


def sheet(standing: Standing, *, studio: Studio) -> Sheet:
    """Return the stall as it stands (nine statements)."""
    fair, day = standing.weekend.fair, standing.day
    currency = Currency.of(studio.currency)
    terms = terms_of(fair)
    return Sheet(
        fair=fair.pk,
        fair_name=fair.name,
        weekend=standing.weekend.pk,
        day=day.isoformat(),
        day_name=f"{day:%A}",
        is_selling_day=standing.is_selling_day,
        days=tuple(each.isoformat() for each in standing.days),
        currency=studio.currency,
        exponent=currency.exponent,
        language=studio.language.replace("_", "-"),
        time_zone=studio.time_zone,
        notes=tuple(note * currency.scale for note in notes_of(currency)),
        terms={
            "currency": studio.currency,
            "tax_rate_ppm": terms.tax_rate_ppm,
            "tax_included": terms.tax_included,
            "tax_rounding": terms.tax_rounding,
            "cash_step": terms.cash_step,
        },
        bundles=_bundles(fair, standing.today, studio),
        sellers=tuple(Seller(person.pk, str(person)) for person in sellers()),
        tiles=_tiles(fair, standing.today, studio),
    )


def _bundles(fair: Fair, on: datetime.date, studio: Studio) -> tuple[BundleRule, ...]:
    """Return the bundles that hold at the fair on a day (one statement)."""
    rules = Bundle.objects.in_force(fair=fair, on=on).select_related("form", "ware")
    currency = Currency.of(studio.currency)
    return tuple(
        BundleRule(
            id=rule.pk,
            name=f"{rule.quantity} for {format_number(rule.price, currency, studio.language)}",
            form=rule.form.code if rule.form else "",
            ware=rule.ware.code if rule.ware else "",
            quantity=rule.quantity,
            price=rule.price,
        )
        for rule in rules
    )


def _tiles(fair: Fair, on: datetime.date, studio: Studio) -> tuple[Tile, ...]:
    """Return a tile for each ware and grade with a price, in the order that lists show."""
    wares = list(Ware.objects.current().named())
    prices = listed(fair, wares, on=on, studio=studio)
    stock = ledger.on_hand_at(fair.stall)
    held_for: dict[tuple[int, str], list[HeldFor]] = defaultdict(list)
    for hold in ledger.open_holds(place=fair.stall):
        held_for[hold.ware_id, hold.grade].append(HeldFor(hold.pk, hold.label, hold.quantity))
    frame = drawing.frame_of((ware.form.height_mm, ware.form.width_mm) for ware in wares)
    tiles = []
    for ware in wares:
        for grade in (Grade.FIRST.value, Grade.SECOND.value):
            price = prices.get((ware.pk, grade))
            if price is None:
                continue
            row = stock.get((ware.pk, grade)) or Balance(on_hand=0, held=0)
            tiles.append(
                Tile(
                    ware=ware.code,
                    grade=grade,
                    name=ware.name,
                    form=ware.own_name or ware.form.name,
                    form_code=ware.form.code,
                    finish="" if ware.own_name else ware.finish.name,
                    price=price.amount,
                    left=row.free,
                    held=row.held,
                    holds=tuple(held_for[ware.pk, grade]),
                    pot=_drawn(ware, frame) if grade == Grade.FIRST else "",
                    photo=ware.photo.url if ware.photo and grade == Grade.FIRST else "",
                )
            )
    return tuple(tiles)


def _drawn(ware: Ware, frame: drawing.Frame) -> str:
    """Return the pot as an SVG element, at the scale that all tiles share."""
    return drawing.svg(
        profile=ware.form.profile or ware.form.name,
        height_mm=ware.form.height_mm,
        width_mm=ware.form.width_mm,
        colour=ware.finish.colour,
        frame=frame,
    )


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
        pieces=sale.pieces,
        what=", ".join(str(line) for line in lines),
        names=tuple(line.name for line in lines),
        received=sum(payment.amount for payment in payments),
        tips=sum(payment.tip for payment in payments),
        methods=tuple(Payment.Method(payment.method).label for payment in payments),
        found=sum(line.found for line in lines),
        by_count=sale.by_count,
        undone=sale.undoing.reason if hasattr(sale, "undoing") else "",
    )
