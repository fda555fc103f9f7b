"""What the pages of packing show: fairs, weekends, lists, and what could still go in the van.

Named reads in a fixed number of statements. Nothing here writes.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, Q, Sum

from vendor.fairs import stock
from vendor.fairs.models import Fair, PackingLine, PackingList, Weekend
from vendor.fairs.prices import at_the_fair
from vendor.ledger import queries as ledger
from vendor.ledger.models import Balance, Entry
from vendor.ledger.posting import piece
from vendor.ware.models import Ware

SHOWN_AT_ONCE = 60
NOTHING = Balance(on_hand=0, held=0)


@dataclass(frozen=True, slots=True)
class ListRow:
    """A packing list and how many pieces are on it."""

    packing_list: PackingList
    pieces: int

    @property
    def state(self) -> str:
        """Whether the van was loaded by it."""
        return "loaded" if self.packing_list.is_loaded else "still to load"


@dataclass(frozen=True, slots=True)
class WeekendRow:
    """A weekend, its packing lists, and whether it is over."""

    weekend: Weekend
    lists: tuple[ListRow, ...]
    over: bool

    @property
    def pieces(self) -> int:
        """The pieces on all its lists together."""
        return sum(row.pieces for row in self.lists)


@dataclass(frozen=True, slots=True)
class Pack:
    """The first page of packing: the coming weekend, those after it, and the fairs."""

    coming: WeekendRow | None
    later: tuple[WeekendRow, ...]
    past: tuple[WeekendRow, ...]
    fairs: tuple[Fair, ...]
    on_the_stall: int


@dataclass(frozen=True, slots=True)
class PackedRow:
    """One line of a packing list. Prices in minor units; pieces elsewhere."""

    line: PackingLine
    name: str
    free: int
    on_stall: int
    price: int | None
    listed: int

    @property
    def worth(self) -> int | None:
        """What its pieces would bring at the fair's price."""
        return None if self.price is None else self.price * self.line.quantity

    @property
    def short(self) -> int:
        """How many pieces of this ware and grade the list has beyond what is free."""
        return max(0, self.listed - self.free)


@dataclass(frozen=True, slots=True)
class Packing:
    """A packing list with its lines and their totals."""

    packing_list: PackingList
    rows: tuple[PackedRow, ...]

    @property
    def pieces(self) -> int:
        """All pieces together."""
        return sum(row.line.quantity for row in self.rows)

    @property
    def worth(self) -> int:
        """What they would bring at the fair's prices (minor units); see `unpriced`."""
        return sum(row.worth or 0 for row in self.rows)

    @property
    def unpriced(self) -> int:
        """How many pieces have no price at the fair."""
        return sum(row.line.quantity for row in self.rows if row.price is None)

    @property
    def short(self) -> int:
        """How many lines the shelf can't fill, as long as the van is not loaded."""
        return 0 if self.packing_list.is_loaded else sum(1 for row in self.rows if row.short)

    @property
    def totes(self) -> list[tuple[str, list[PackedRow], int]]:
        """The lines by tote (no tote first), with the pieces in each."""
        by_tote: dict[str, list[PackedRow]] = defaultdict(list)
        for row in self.rows:
            by_tote[row.line.tote].append(row)
        return [
            (tote, rows, sum(row.line.quantity for row in rows))
            for tote, rows in sorted(by_tote.items())
        ]


@dataclass(frozen=True, slots=True)
class Pickable:
    """Free stock on the studio shelf that is not wholly on the list yet (pieces)."""

    ware: Ware
    grade: str
    name: str
    free: int
    listed: int
    on_stall: int

    @property
    def left(self) -> int:
        """How many could still be put on the list."""
        return self.free - self.listed


def first_page(*, today: datetime.date) -> Pack:
    """Return the coming weekend, those around it, and the fairs (four statements)."""
    weekends = Weekend.objects.select_related("fair__stall").order_by("first_day", "id")
    lists: dict[int, list[ListRow]] = defaultdict(list)
    for each in PackingList.objects.annotate(pieces=Sum("lines__quantity")).order_by("id"):
        lists[each.weekend_id].append(ListRow(each, each.pieces or 0))
    rows = [
        WeekendRow(each, tuple(lists[each.pk]), over=each.last_day < today or each.is_closed)
        for each in weekends
    ]
    ahead = [row for row in rows if not row.over]
    coming = ahead[0] if ahead else None
    standing = 0
    if coming is not None:
        stands = Balance.objects.filter(place=coming.weekend.fair.stall_id)
        standing = stands.aggregate(pieces=Sum("on_hand"))["pieces"] or 0
    return Pack(
        coming=coming,
        later=tuple(ahead[1:]),
        past=tuple(row for row in reversed(rows) if row.over),
        fairs=tuple(
            Fair.objects.select_related("tier").annotate(planned=Count("weekends")).order_by("-id")
        ),
        on_the_stall=standing,
    )


def all_lists() -> list[ListRow]:
    """Return every packing list, the latest weekend first (one statement)."""
    lists = PackingList.objects.select_related("weekend__fair").annotate(
        pieces=Sum("lines__quantity")
    )
    return [ListRow(each, each.pieces or 0) for each in lists.order_by("-weekend__first_day", "id")]


def packing(packing_list: PackingList) -> Packing:
    """Return a packing list in the order of lists, with what is free of each (eight statements)."""
    lines = list(
        packing_list.lines.select_related("ware__form", "ware__finish").order_by(
            "ware__form__name", "ware__finish__name", "ware__code", "grade", "tote"
        )
    )
    fair = packing_list.weekend.fair
    on_shelf, on_stall = ledger.on_hand_at(stock.shelf()), ledger.on_hand_at(fair.stall)
    prices = at_the_fair(fair, [line.ware for line in lines], on=packing_list.weekend.first_day)
    listed: dict[tuple[int, str], int] = defaultdict(int)
    for line in lines:
        listed[line.ware_id, line.grade] += line.quantity
    return Packing(
        packing_list,
        tuple(
            PackedRow(
                line=line,
                name=piece(line.ware, line.grade),
                free=on_shelf.get((line.ware_id, line.grade), NOTHING).free,
                on_stall=on_stall.get((line.ware_id, line.grade), NOTHING).on_hand,
                price=prices.get((line.ware_id, line.grade)),
                listed=listed[line.ware_id, line.grade],
            )
            for line in lines
        ),
    )


def pickable(packing_list: PackingList, search: str = "") -> list[Pickable]:
    """Return the free stock whose name or code has the words searched for (four statements)."""
    listed: dict[tuple[int, str], int] = defaultdict(int)
    for ware_id, grade, total in (
        packing_list.lines.order_by().values_list("ware_id", "grade").annotate(Sum("quantity"))
    ):
        listed[ware_id, grade] = total
    on_stall = ledger.on_hand_at(packing_list.weekend.fair.stall)
    words = search.casefold().split()
    found = []
    for row in ledger.stock(place=stock.shelf()):
        name = piece(row.ware, row.grade)
        each = Pickable(
            row.ware, row.grade, name, row.free, listed[row.ware.pk, row.grade],
            on_stall.get((row.ware.pk, row.grade), NOTHING).on_hand,
        )  # fmt: skip
        text = f"{name} {row.ware.code}".casefold()
        if each.left > 0 and all(word in text for word in words):
            found.append(each)
    return found


def brought_home(fair: Fair) -> list[Entry]:
    """Return the entries by which pieces came home, the latest first (two statements)."""
    home = Q(movements__source=fair.stall, movements__target=stock.shelf())
    return list(
        Entry.objects.filter(home, kind=Entry.Kind.MOVING)
        .select_related("who", "reversed_by")
        .annotate(pieces=Sum("movements__quantity"))
        .order_by("-happened_at", "-id")
    )
