"""The stall as the page sells from it: tiles, prices, holds, bundles, tax, days, in one sheet.

It is all that the page needs, so that a device can keep it and sell without a network.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from vendor.counter.bundles import Bundle
from vendor.counter.pins import sellers
from vendor.counter.prices import listed
from vendor.counter.queries import Standing, sold_before
from vendor.counter.rung import terms_of
from vendor.counter.till import names_of
from vendor.counter.turns import Turn, turns
from vendor.fairs.models import Fair, SellingDay
from vendor.fairs.unpacking import Tote, totes
from vendor.house import clock, dates
from vendor.house.coins import notes_of
from vendor.house.models import Studio
from vendor.house.money import Currency, format_number
from vendor.labels.queries import numbers
from vendor.ledger import queries as ledger
from vendor.ledger.models import Balance
from vendor.ware import drawing
from vendor.ware.models import Form, Grade, Ware


@dataclass(frozen=True, slots=True)
class HeldFor:
    """A hold on the stall, by its number and what it is for (nobody's name)."""

    id: int
    label: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Tile:
    """One ware and grade as the page shows it; `left` is free pieces, `held` those held.

    `number` is the article number on its tag (13 digits), empty where it has none.
    """

    ware: str
    grade: str
    number: str
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
class LateDay:
    """A selling day that is over: sales written down on paper are entered as of its end."""

    day: str
    name: str
    at: str


@dataclass(frozen=True, slots=True)
class Seller:
    """Somebody who can say by a PIN that they sell."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class FormName:
    """A form that can be ordered, by its code."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class CashBox:
    """A cash box of the weekend, by its number in it."""

    number: int
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
    day_told: str
    late: tuple[LateDay, ...]
    currency: str
    exponent: int
    language: str
    time_zone: str
    notes: tuple[int, ...]
    terms: dict[str, object]
    bundles: tuple[BundleRule, ...]
    sellers: tuple[Seller, ...]
    tills: tuple[CashBox, ...]
    tiles: tuple[Tile, ...]
    forms: tuple[FormName, ...]
    turns: tuple[Turn, ...]
    totes: tuple[Tote, ...]
    sold_before: dict[str, int]


def sheet(standing: Standing, *, studio: Studio, with_pots: bool = True) -> Sheet:
    """Return the stall (eighteen statements); `with_pots` off for a page that has them."""
    fair, day = standing.weekend.fair, standing.day
    currency = Currency.of(studio.currency)
    terms = terms_of(fair)
    tiles = _tiles(fair, standing.today, studio, with_pots=with_pots)
    dearest = max((tile.price for tile in tiles), default=0)
    return Sheet(
        fair=fair.pk,
        fair_name=fair.name,
        weekend=standing.weekend.pk,
        day=day.isoformat(),
        day_name=dates.weekday(day),
        is_selling_day=standing.is_selling_day,
        day_told=dates.day(day),
        late=_late(standing, studio),
        currency=studio.currency,
        exponent=currency.exponent,
        language=studio.language.replace("_", "-"),
        time_zone=studio.time_zone,
        notes=tuple(note * currency.scale for note in notes_of(currency, dearest)),
        terms={
            "currency": studio.currency,
            "tax_rate_ppm": terms.tax_rate_ppm,
            "tax_included": terms.tax_included,
            "tax_rounding": terms.tax_rounding,
            "cash_step": terms.cash_step,
        },
        bundles=_bundles(fair, standing.today, studio),
        sellers=tuple(Seller(person.pk, str(person)) for person in sellers()),
        tills=tuple(CashBox(*each) for each in names_of(standing.weekend).items()),
        tiles=tiles,
        forms=_forms(),
        turns=turns(fair.stall, day=day) if standing.is_selling_day else (),
        totes=totes(standing.weekend),
        sold_before=sold_before(standing.weekend, day=day),
    )


def _forms() -> tuple[FormName, ...]:
    """Return the forms that are made (one statement)."""
    made = Form.objects.filter(retired=False).values_list("code", "name")
    return tuple(FormName(code, name) for code, name in made)


def _late(standing: Standing, studio: Studio) -> tuple[LateDay, ...]:
    """Return the weekend's selling days that are over (one statement)."""
    over = SellingDay.objects.filter(weekend=standing.weekend, day__lt=standing.today)
    return tuple(
        LateDay(
            each.day.isoformat(),
            dates.day(each.day),
            clock.at(each.day, each.closes, studio).isoformat(),
        )
        for each in over
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


def _tiles(fair: Fair, on: datetime.date, studio: Studio, *, with_pots: bool) -> tuple[Tile, ...]:
    """Return a tile for each ware and grade with a price, in the order that lists show."""
    wares = list(Ware.objects.current().named())
    prices = listed(fair, wares, on=on, studio=studio)
    stock = ledger.on_hand_at(fair.stall)
    article_numbers = numbers()
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
                    number=article_numbers.get((ware.pk, grade), ""),
                    name=ware.name,
                    form=ware.own_name or ware.form.name,
                    form_code=ware.form.code,
                    finish="" if ware.own_name else ware.finish.name,
                    price=price.amount,
                    left=row.free,
                    held=row.held,
                    holds=tuple(held_for[ware.pk, grade]),
                    pot=_drawn(ware, frame) if with_pots and grade == Grade.FIRST else "",
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
