"""A weekend's card sales beside its card statements: what belongs together, what is left over.

Read in a fixed number of statements; matched afresh each time, so that it always shows what is.
"""

import datetime
import hashlib
from collections import defaultdict
from dataclasses import dataclass

from vendor.closing.card_rows import Columns, Told, read_row
from vendor.closing.matching import Charge, How, match
from vendor.closing.models import CardNote, CardPair, CardStatement
from vendor.counter.models import Deposit, Payment, TakenBack, Way
from vendor.fairs.models import Weekend
from vendor.house import dates
from vendor.house.cells import RowRejected, from_json
from vendor.house.models import Studio
from vendor.house.money import Currency
from vendor.house.studio import zone
from vendor.house.written import moment

# A statement's day may be that of booking, which comes after the weekend.
BOOKED_WITHIN = datetime.timedelta(days=3)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a statement (minor units), known again by its fingerprint."""

    about: str
    told: Told
    reason: str = ""

    def words(self, studio: Studio) -> str:
        """Return when it was charged, and what it says, in words."""
        told = self.told
        when = moment(told.at, studio) if told.at else dates.day(told.day)
        return f"{when}, {told.text}" if told.text else when


@dataclass(frozen=True, slots=True)
class CardSale:
    """A card payment with its tip, a refund (below zero) or a deposit, in minor units.

    `name` is what it is on paper: a sale or a deposit, with its number.
    """

    about: str
    name: str
    amount: int
    at: datetime.datetime
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Lines and sales that belong together, and what that rests on."""

    lines: tuple[Line, ...]
    sales: tuple[CardSale, ...]
    how: How
    minutes: int | None
    by_hand: CardPair | None = None

    @property
    def sold(self) -> int:
        """What the sales come to; another amount than the lines' only where matched by hand."""
        return sum(sale.amount for sale in self.sales)

    @property
    def amount(self) -> int:
        """What the lines come to."""
        return sum(line.told.amount for line in self.lines)


@dataclass(frozen=True, slots=True)
class Rejected:
    """A row that can't be read, by its number in the file."""

    statement: str
    row: int
    why: str


@dataclass(frozen=True, slots=True)
class CardPage:
    """Cards of a weekend, compared (minor units)."""

    statements: tuple[CardStatement, ...]
    pairs: tuple[Pair, ...]
    lines_left: tuple[Line, ...]
    sales_left: tuple[CardSale, ...]
    rejected: tuple[Rejected, ...]
    elsewhere: int

    @property
    def is_compared(self) -> bool:
        """Whether there is a statement whose columns are named."""
        return any(each.columns is not None for each in self.statements)

    @property
    def matched(self) -> int:
        """What the pairs come to."""
        return sum(pair.amount for pair in self.pairs)

    @property
    def charged(self) -> int:
        """What the statements come to on the weekend's days."""
        return self.matched + sum(line.told.amount for line in self.lines_left)

    @property
    def fees(self) -> int:
        """What the card company kept of all lines, where the statement says so."""
        lines = [line for pair in self.pairs for line in pair.lines]
        return sum(line.told.fee for line in [*lines, *self.lines_left])

    @property
    def sold(self) -> int:
        """What the card sales come to, less refunds."""
        return sum(pair.sold for pair in self.pairs) + sum(sale.amount for sale in self.sales_left)

    @property
    def open_lines(self) -> list[Line]:
        """The lines without a partner and without a reason."""
        return [line for line in self.lines_left if not line.reason]

    @property
    def open_sales(self) -> list[CardSale]:
        """The card sales without a partner and without a reason."""
        return [sale for sale in self.sales_left if not sale.reason]

    @property
    def unexplained(self) -> int:
        """How many on either side have no partner and no reason."""
        return len(self.open_lines) + len(self.open_sales)


def compared(weekend: Weekend, studio: Studio) -> CardPage | None:
    """Return a weekend's cards, compared; None as long as there is no statement (one statement)."""
    standing = CardStatement.objects.filter(weekend=weekend, removed_at__isnull=True)
    return card_page(weekend, studio) if standing.exists() else None


def card_page(weekend: Weekend, studio: Studio) -> CardPage:
    """Return a weekend's cards, compared (six statements)."""
    statements = CardStatement.objects.filter(weekend=weekend, removed_at__isnull=True)
    statements_read = tuple(statements.select_related("made_by", "mapped_by").order_by("id"))
    notes = {
        note.about: note.reason for note in CardNote.objects.filter(weekend=weekend).order_by("id")
    }
    lines, rejected, elsewhere = _lines(weekend, statements_read, notes, studio)
    sales = _sales(weekend, notes)
    local = zone(studio)
    ours, lines, sales = _by_hand(weekend, lines, sales)
    found = match(
        [Charge(n, line.told.amount, line.told.day, line.told.at) for n, line in enumerate(lines)],
        [
            Charge(n, sale.amount, sale.at.astimezone(local).date(), sale.at)
            for n, sale in enumerate(sales)
        ],
    )
    return CardPage(
        statements=statements_read,
        pairs=(
            *ours,
            *(
                Pair(
                    tuple(lines[n] for n in each.lines),
                    tuple(sales[n] for n in each.sales),
                    each.how,
                    each.minutes,
                )
                for each in found.matches
            ),
        ),
        lines_left=tuple(lines[n] for n in found.lines_left),
        sales_left=tuple(sales[n] for n in found.sales_left),
        rejected=tuple(rejected),
        elsewhere=elsewhere,
    )


def _by_hand(
    weekend: Weekend, lines: list[Line], sales: list[CardSale]
) -> tuple[list[Pair], list[Line], list[CardSale]]:
    """Return what a person matched, and what is left of either side (one statement).

    A match of which a part is gone, as when its statement was taken out, no longer holds.
    """
    known, sold = {each.about: each for each in lines}, {each.about: each for each in sales}
    pairs = []
    for each in CardPair.objects.filter(weekend=weekend, removed_at__isnull=True).order_by("id"):
        if known.keys() >= set(each.lines) and sold.keys() >= set(each.sales):
            ours = tuple(known.pop(about) for about in each.lines)
            theirs = tuple(sold.pop(about) for about in each.sales)
            pairs.append(Pair(ours, theirs, How.HAND, None, each))
    return pairs, list(known.values()), list(sold.values())


def _sales(weekend: Weekend, notes: dict[str, str]) -> list[CardSale]:
    """Return the card payments of sales that stand, refunds and deposits on cards (three)."""
    payments = Payment.objects.filter(
        sale__weekend=weekend, sale__undoing__isnull=True, method=Payment.Method.CARD
    ).select_related("sale")
    back = TakenBack.objects.filter(weekend=weekend, method=Payment.Method.CARD).select_related(
        "sale"
    )
    found = [
        (f"payment:{paid.pk}", str(paid.sale), paid.amount + paid.tip, paid.sale.sold_at)
        for paid in payments
    ]
    found += [
        (f"refund:{each.pk}", str(each.sale), -each.refunded, each.happened_at) for each in back
    ]
    deposits = Deposit.objects.filter(weekend=weekend, method=Way.CARD)
    found += [
        (f"deposit:{each.pk}", str(each), each.received, each.happened_at) for each in deposits
    ]
    return [
        CardSale(about, name, amount, at, notes.get(about, ""))
        for about, name, amount, at in sorted(found, key=lambda each: (each[3], each[0]))
        if amount
    ]


def _lines(
    weekend: Weekend,
    statements: tuple[CardStatement, ...],
    notes: dict[str, str],
    studio: Studio,
) -> tuple[list[Line], list[Rejected], int]:
    """Return the lines of the weekend's days, the unreadable rows, and how many are of other days.

    Where two statements overlap, a line that both have counts once: the n-th of its kind in one
    is the n-th of its kind in the other.
    """
    currency, local = Currency.of(studio.currency), zone(studio)
    lines: dict[str, Line] = {}
    rejected, elsewhere = [], set()
    for statement in statements:
        if statement.columns is None:
            continue
        columns, seen = from_json(Columns, statement.columns), defaultdict[Told, int](int)
        for number, cells in enumerate(statement.rows, start=2):
            row = dict(zip(statement.head, cells, strict=True))
            try:
                told = read_row(row, columns, currency, studio.language, local)
            except RowRejected as why:
                rejected.append(Rejected(statement.name, number, str(why)))
                continue
            seen[told] += 1
            about = _fingerprint(told, seen[told])
            if not weekend.first_day <= told.day <= weekend.last_day + BOOKED_WITHIN:
                elsewhere.add(about)
            else:
                lines[about] = Line(about, told, notes.get(about, ""))
    return list(lines.values()), rejected, len(elsewhere)


def _fingerprint(told: Told, nth: int) -> str:
    text = repr((told.amount, told.day, told.at and told.at.isoformat(), told.text, nth))
    return f"line:{hashlib.sha256(text.encode()).hexdigest()[:40]}"
