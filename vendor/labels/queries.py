"""Reads of the tags' tables: what is out on pieces, and whether it still says the truth.

Each in a fixed number of statements, however much there is.
"""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from vendor.house.models import Studio
from vendor.labels.models import (
    ON_PIECES,
    ArticleNumber,
    LabelPrinter,
    LabelSheet,
    PrintedTag,
    TagDress,
)
from vendor.labels.sheets import names_apart
from vendor.labels.tagging import Came, Event, Standing, Tagged, Went, standing
from vendor.ledger.models import Balance, Movement, Place
from vendor.ware.models import Grade, Ware
from vendor.ware.pricing import PriceBook
from vendor.ware.queries import price_book

Spot = tuple[int, str]  # ware, grade
SECOND_SIGN = "-"


def named(ware: Ware, grade: str) -> str:
    """Return a ware and grade in words, as the pages of tags say them."""
    return f"{ware.name}, second" if grade == Grade.SECOND else ware.name


@dataclass(frozen=True, slots=True)
class TagState:
    """The tags on the pieces that stand of one ware and grade; `where` says at which places."""

    ware: Ware
    grade: str
    on_hand: int
    held: int
    untagged: int
    outdated: int
    where: str

    @property
    def name(self) -> str:
        """The piece in words."""
        return named(self.ware, self.grade)

    @property
    def to_tag(self) -> int:
        """Free pieces that need a price tag: without one, or with a wrong one.

        A held one needs none. Those without a tag are taken to be the held ones first.
        """
        return max(0, self.untagged - self.held) + self.to_replace

    @property
    def to_replace(self) -> int:
        """Wrong price tags to print anew: no more than there are free pieces with a tag."""
        held_tagged = max(0, self.held - self.untagged)
        return max(0, min(self.outdated, self.on_hand - self.untagged - held_tagged))


def the_dress() -> TagDress:
    """Return what the studio's tags carry (one statement); what is usual, where nothing is set."""
    found = TagDress.objects.select_related("sheet", "printer").filter(pk=1).first()
    return found or TagDress()


def sheets_on_offer() -> list[LabelSheet]:
    """Return the sheets that are offered (one statement)."""
    return list(LabelSheet.objects.filter(retired=False))


def usual_sheet(studio: Studio) -> LabelSheet | None:
    """Return the sheet used last, else the first of the studio's paper (two statements)."""
    last = the_dress().sheet
    if last is not None:
        return last
    paper = "Letter" if studio.units == Studio.Unit.INCH else "A4"
    return next((each for each in sheets_on_offer() if each.sheet.paper == paper), None)


def named_apart(rows: Iterable[LabelSheet]) -> list[tuple[LabelSheet, str]]:
    """Return sheets with their names, with more numbers in them where two would read the same."""
    kept = list(rows)
    apart = names_apart(row.sheet for row in kept)
    return [(row, ", ".join(filter(None, (apart[row.sheet], row.note)))) for row in kept]


def printers_on_offer() -> list[LabelPrinter]:
    """Return the printers that are offered (one statement)."""
    return list(LabelPrinter.objects.filter(retired=False))


def tag_states(*, on: datetime.date, studio: Studio) -> list[TagState]:
    """Return for all that stands somewhere what its tags say (six statements).

    Tags that were printed after a day are left out of account as little as pieces that came then:
    only the prices are those of the day.
    """
    return states_with(price_book(on=on, studio=studio))


def states_with(book: PriceBook) -> list[TagState]:
    """Return for all that stands somewhere what its tags say, by a book of prices."""
    reckoned = _standings()
    rows = (
        Balance.objects.filter(on_hand__gt=0)
        .select_related("place", "ware__form", "ware__finish")
        .order_by("ware__form__name", "ware__finish__name", "ware__code", "grade", "place_id")
    )
    found: dict[Spot, list[Balance]] = defaultdict(list)
    for row in rows:
        found[row.ware_id, row.grade].append(row)
    return [_state(each, reckoned.get(spot, Standing()), book) for spot, each in found.items()]


def tags_out_of_date(*, on: datetime.date, studio: Studio) -> int:
    """Return how many pieces carry a tag whose price is no longer right on a day.

    At most six statements; where no printed price is wrong, no stock is read.
    """
    book = price_book(on=on, studio=studio)
    printed: Iterable[tuple[Any, ...]] = (
        _prices_on_pieces().order_by().values_list("ware", "ware__form", "tier", "price").distinct()
    )
    wrong = {ware for ware, form, *label in printed if _is_wrong(book, ware, form, label)}
    if not wrong:
        return 0
    forms = dict(Ware.objects.filter(pk__in=wrong).values_list("pk", "form_id"))
    return sum(
        count
        for (ware, _), reckoned in _standings(wrong).items()
        for label, count in reckoned.tagged.items()
        if _is_wrong(book, ware, forms[ware], label)
    )


def _is_wrong(book: PriceBook, ware: int, form: int, label: Sequence[int]) -> bool:
    """Tell whether what a tag says (price list, price) is no longer so."""
    tier, price = label
    now = book.find(ware, form, tier)
    return now is None or now.amount != price


def _prices_on_pieces() -> QuerySet[PrintedTag]:
    """Return the printed tags that carry a price and went on pieces."""
    return PrintedTag.objects.filter(
        run__struck_at__isnull=True, run__kind__in=ON_PIECES, price__isnull=False
    )


def _state(rows: list[Balance], reckoned: Standing, book: PriceBook) -> TagState:
    ware, grade = rows[0].ware, rows[0].grade
    on_hand = sum(row.on_hand for row in rows)
    outdated = sum(
        count
        for label, count in reckoned.tagged.items()
        if _is_wrong(book, ware.pk, ware.form_id, label)
    )
    return TagState(
        ware=ware,
        grade=grade,
        on_hand=on_hand,
        held=sum(row.held for row in rows),
        untagged=reckoned.untagged,
        outdated=outdated,
        where=", ".join(f"{row.place} {row.on_hand}" for row in rows),
    )


def _standings(wares: Collection[int] | None = None) -> dict[Spot, Standing]:
    """Reckon by ware and grade which pieces carry which tag (two statements).

    Of the given ware alone, else of all.
    """
    these = Q() if wares is None else Q(ware_id__in=wares)
    told: dict[Spot, list[tuple[datetime.datetime, int, Event]]] = defaultdict(list)
    moves = (
        Movement.objects.filter(these)
        .order_by("id")
        .values_list(
            "ware_id", "grade", "quantity", "source__kind", "target__kind", "entry__happened_at"
        )
    )
    for ware_id, grade, pieces, source, target, at in moves:
        inside, after = source in Place.PHYSICAL, target in Place.PHYSICAL
        if inside is not after:
            event = Went(pieces) if inside else Came(pieces, back=source == Place.Kind.SOLD)
            told[ware_id, grade].append((at, 0, event))
    prints = (
        _prices_on_pieces()
        .filter(these)
        .order_by("id")
        .values_list("ware_id", "grade", "quantity", "tier_id", "price", "run__made_at")
    )
    for ware_id, grade, pieces, tier_id, price, at in prints:
        assert ware_id is not None
        assert tier_id is not None
        assert price is not None
        told[ware_id, grade].append((at, 1, Tagged(pieces, (tier_id, price))))
    return {
        spot: standing(event for *_, event in sorted(events, key=lambda each: each[:2]))
        for spot, events in told.items()
    }


def numbers() -> dict[Spot, str]:
    """Return the article numbers by ware and grade (one statement)."""
    rows = ArticleNumber.objects.values_list("ware_id", "grade", "number")
    return {(ware_id, grade): number for ware_id, grade, number in rows}


def code_on_tag(code: str, grade: str) -> str:
    """Return the code in the bars of a piece's tag: the ware's, and a hyphen more for a second.

    No ware's own code ends in a hyphen, so that a second is never rung up at a first's price.
    """
    return f"{code}{SECOND_SIGN}" if grade == Grade.SECOND else code


def piece_by_tag(text: str) -> Spot | None:
    """Return the ware and grade that a tag's code stands for, whichever symbol it was read from.

    The ware's code, with a hyphen more for a second; or an article number (two statements).
    """
    code = text.strip().upper()
    grade = Grade.SECOND if code.endswith(SECOND_SIGN) else Grade.FIRST
    ware = Ware.objects.filter(code=code.removesuffix(SECOND_SIGN)).values_list("pk").first()
    return (ware[0], grade.value) if ware else piece_by_number(code)


def piece_by_number(number: str) -> Spot | None:
    """Return the ware and grade that a scanned article number stands for (one statement).

    A reader may give a number of twelve digits or the same with its leading zero.
    """
    row = ArticleNumber.objects.filter(number=number.zfill(13)).first()
    return (row.ware_id, row.grade) if row else None
