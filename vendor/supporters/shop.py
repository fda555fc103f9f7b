"""Reads for what is set aside to be bought: what an early release offers, what is online."""

import datetime
from collections import Counter
from dataclasses import dataclass

from vendor.house import written
from vendor.house.models import Studio
from vendor.ledger.models import Entry, HoldLine, Place
from vendor.ledger.queries import free_by_ware
from vendor.supporters import online, spare
from vendor.supporters.models import EarlyPiece, EarlyRelease
from vendor.supporters.spare import Spare
from vendor.ware.models import Grade, PriceTier, Ware
from vendor.ware.pricing import PriceMissing
from vendor.ware.queries import price_book


@dataclass(frozen=True, slots=True)
class OnOffer:
    """So many held pieces of one ware and grade, with the price of one (None: it has none)."""

    ware: Ware
    grade: str
    count: int
    price: int | None
    sold: int = 0

    @property
    def name(self) -> str:
        """What it is called."""
        return f"{self.ware.name} (second)" if self.grade == Grade.SECOND else self.ware.name


def on_offer(release: EarlyRelease, today: datetime.date, studio: Studio) -> list[OnOffer]:
    """Return what a release still offers and has sold, by name (seven statements at most)."""
    held: Counter[tuple[int, str]] = Counter()
    pieces = EarlyPiece.objects.filter(release=release, hold__quantity__gt=0)
    for ware_id, grade in pieces.values_list("hold__ware_id", "hold__grade"):
        held[ware_id, grade] += 1
    sold: Counter[tuple[int, str]] = Counter()
    for sale in release.sales.filter(undone_at__isnull=True):
        sold[sale.ware_id, sale.grade] += sale.quantity
    return _priced(held, sold, release.tier, today, studio)


def sold_all_the_same(release: EarlyRelease) -> list[HoldLine]:
    """Return which pieces of a release were sold to others by a named override (one statement).

    A sale that was undone since is left out. Each line has its hold's ware and place, and the
    entry that says who did it and why.
    """
    lines = HoldLine.objects.filter(
        hold__in=release.pieces.values("hold_id"),
        change__lt=0,
        entry__kind=Entry.Kind.SALE,
        entry__reversed_by__isnull=True,
    ).exclude(entry__in=release.sales.values("entry_id"))
    return list(
        lines.select_related("entry__who", "place", "hold__ware__form", "hold__ware__finish")
    )


def in_the_bin(tier: PriceTier | None, today: datetime.date, studio: Studio) -> list[OnOffer]:
    """Return what is held online, by name, with its price at a list (five statements at most)."""
    return _priced(Counter(online.in_the_bin()), Counter(), tier, today, studio)


def text_of(release: EarlyRelease, offers: list[OnOffer], studio: Studio) -> str:
    """Return what is on offer as plain text to paste into a letter: names, prices, counts."""
    lines = [
        f"{release.name}: from {written.day(release.opens_on, studio)} up to and including "
        f"{written.day(release.closes_on, studio)}",
        "",
    ]
    for each in offers:
        if each.count:
            price = f", {written.money(each.price, studio)}" if each.price is not None else ""
            lines.append(f"{each.name}{price} ({each.count} left)")
    return "\n".join(lines)


def rows_for_a_shop(offers: list[OnOffer], studio: Studio) -> list[list[object]]:
    """Return what is on offer as rows for a spreadsheet: code, name, grade, price, pieces."""
    return [
        [
            each.ware.code,
            each.name,
            each.grade,
            written.major(each.price, studio) if each.price is not None else "",
            studio.currency,
            each.count,
        ]
        for each in offers
        if each.count
    ]


SHOP_HEAD = ["Code", "Name", "Grade", "Price", "Currency", "Pieces"]


@dataclass(frozen=True, slots=True)
class Choice:
    """One ware that could go online: its numbers, and the ware."""

    ware: Ware
    spare: Spare


def to_put_online(need: dict[int, int], *, each: int) -> list[Choice]:
    """Return what of the studio shelf could go online, after the need given (three statements)."""
    free = free_by_ware(kinds=[Place.Kind.STUDIO])
    there: dict[int, int] = {}
    for (ware_id, grade), count in online.in_the_bin().items():
        if grade == Grade.FIRST:
            there[ware_id] = count
    found = {row.ware_id: row for row in spare.to_put_online(free, need, there, each=each)}
    wares = Ware.objects.named().filter(pk__in=found)
    return [Choice(ware, found[ware.pk]) for ware in wares if found[ware.pk].free]


def _priced(
    held: Counter[tuple[int, str]],
    sold: Counter[tuple[int, str]],
    tier: PriceTier | None,
    today: datetime.date,
    studio: Studio,
) -> list[OnOffer]:
    book = price_book(on=today, studio=studio)
    spots = held.keys() | sold.keys()
    wares = Ware.objects.named().filter(pk__in={ware_id for ware_id, _ in spots})
    found = []
    for ware in wares:
        for grade in Grade.values:
            spot = (ware.pk, grade)
            if spot not in spots:
                continue
            price: int | None = None
            try:
                if grade == Grade.SECOND:
                    price = book.second_price(ware.pk, ware.form_id)
                elif tier is not None:
                    price = book.price(ware.pk, ware.form_id, tier.pk)
            except PriceMissing:
                price = None
            found.append(OnOffer(ware, grade, held[spot], price, sold[spot]))
    return found
