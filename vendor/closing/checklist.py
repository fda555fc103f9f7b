"""What stands between a weekend and its closing, each thing in a sentence."""

import datetime
from dataclasses import dataclass
from enum import StrEnum

from vendor.closing.card_pages import CardPage, compared
from vendor.closing.queries import StallLine, stall_lines
from vendor.closing.takings import carried, till_sheet
from vendor.closing.tills import Carried, TillSheet
from vendor.counter.models import Unsettled
from vendor.fairs.models import Weekend
from vendor.house import clock, dates
from vendor.house.studio import the_studio
from vendor.house.written import money

MANY = 5


class Kind(StrEnum):
    """What may stand open."""

    EARLIER = "earlier"
    UNSETTLED = "unsettled"
    COUNTING = "counting"
    UNCOUNTED = "uncounted"
    UNEXPLAINED = "unexplained"
    CASH = "cash"
    CASH_REASON = "cash_reason"
    NOT_OVER = "not_over"
    NO_FLOAT = "no_float"
    CARRIED = "carried"
    CARDS = "cards"
    CARDS_LATER = "cards_later"


@dataclass(frozen=True, slots=True)
class Open:
    """One thing that stands open; `soft` where a yes of the owner is enough."""

    kind: Kind
    what: str
    soft: bool = False


@dataclass(frozen=True, slots=True)
class Books:
    """All that a closing looks at: pots, cash boxes, and how the cash follows on the one before.

    `cards` is None as long as no card statement was read.
    """

    lines: list[StallLine]
    sheet: TillSheet
    between: Carried | None
    cards: CardPage | None = None


def books_of(weekend: Weekend) -> Books:
    """Return all that the closing of a weekend looks at, in a fixed number of statements."""
    sheet = till_sheet(weekend)
    cards = compared(weekend, the_studio())
    return Books(stall_lines(weekend), sheet, carried(weekend, sheet), cards)


def still_open(weekend: Weekend, *, now: datetime.datetime) -> list[Open]:
    """Return what stands in the way of closing a weekend, in the order to do it."""
    return open_items(weekend, books_of(weekend), now=now)


def open_items(weekend: Weekend, books: Books, *, now: datetime.datetime) -> list[Open]:
    """Like `still_open`, of books that were read already."""
    found = [*_earlier(weekend), *_unsettled(weekend)]
    found += _counting(books.lines)
    if uncounted := [line.name for line in books.lines if not (line.count or line.running)]:
        found.append(Open(Kind.UNCOUNTED, f"Not counted yet: {_some(uncounted)}."))
    if unexplained := [line.name for line in books.lines if line.is_open]:
        found.append(Open(Kind.UNEXPLAINED, f"Differs without a reason: {_some(unexplained)}."))
    return found + _cash(books.sheet) + _cards(books) + _soft(weekend, books, now)


def _cash(sheet: TillSheet) -> list[Open]:
    """Each cash box is counted, and each count that is over or short has its reason."""
    if len(sheet.stretches) == 1:
        (stretch,) = sheet.stretches
        if stretch.count is None:
            return [Open(Kind.CASH, "The cash is not counted yet.")]
        reasons = "The till is over or short without a reason."
        return [Open(Kind.CASH_REASON, reasons)] if stretch.is_open else []
    found = []
    if uncounted := [box.name for box in sheet.used if box.end.count is None]:
        found.append(Open(Kind.CASH, f"The cash is not counted at the end: {_some(uncounted)}."))
    if unexplained := [sheet.name_of(each) for each in sheet.stretches if each.is_open]:
        found.append(
            Open(Kind.CASH_REASON, f"Over or short without a reason: {_some(unexplained)}.")
        )
    return found


def _cards(books: Books) -> list[Open]:
    """Ask for a match or a reason of what the cards leave over; a statement may come later."""
    page, card = books.cards, books.sheet.card
    found = []
    if page is None or not page.is_compared:
        if card.total:
            much = money(card.total, the_studio())
            found.append(
                Open(Kind.CARDS_LATER, f"{much} by card is compared with no statement yet.", True)
            )
    else:
        found += _left_over(page)
    if page is None:
        return found
    if unread := [each.name for each in page.statements if each.columns is None]:
        found.append(
            Open(Kind.CARDS_LATER, f"Not read yet, by their columns: {_some(unread)}.", soft=True)
        )
    if page.rejected:
        rows = "One row" if len(page.rejected) == 1 else f"{len(page.rejected)} rows"
        found.append(Open(Kind.CARDS_LATER, f"{rows} of card statements can't be read.", True))
    return found


def _left_over(page: CardPage) -> list[Open]:
    """Say what has no partner and no reason on either side: how many, and how much."""
    studio, act = the_studio(), "match by hand, or say why"
    found = []
    if sales := page.open_sales:
        much = money(sum(each.amount for each in sales), studio)
        many = "One card sale has" if len(sales) == 1 else f"{len(sales)} card sales have"
        found.append(Open(Kind.CARDS, f"{many} no line in the statement ({much}): {act}."))
    if lines := page.open_lines:
        much = money(sum(each.told.amount for each in lines), studio)
        many = "One card line is" if len(lines) == 1 else f"{len(lines)} card lines are"
        found.append(Open(Kind.CARDS, f"{many} for no sale ({much}): {act}."))
    return found


def is_over(weekend: Weekend, now: datetime.datetime) -> bool:
    """Tell whether a weekend's last selling day has closed by a moment."""
    last = weekend.days.order_by("-day").first()
    closes = last.closes if last else datetime.time(0)
    return now >= clock.at(weekend.last_day, closes, the_studio())


def _earlier(weekend: Weekend) -> list[Open]:
    earlier = Weekend.objects.filter(
        fair_id=weekend.fair_id, last_day__lt=weekend.first_day, closing__isnull=True
    ).order_by("first_day")
    return [
        Open(Kind.EARLIER, f"Weekend {each.number} comes first: it is not closed yet.")
        for each in earlier
    ]


def _unsettled(weekend: Weekend) -> list[Open]:
    """Sales of this weekend have to be settled first; of one that is of none, a yes is enough."""
    waiting = Unsettled.objects.filter(settled_at__isnull=True)
    ours = waiting.filter(weekend=weekend).count()
    lost = waiting.filter(weekend__isnull=True).count()
    found = []
    if ours:
        found.append(Open(Kind.UNSETTLED, f"{_sales(ours)} to be settled."))
    if lost:
        found.append(
            Open(Kind.UNSETTLED, f"{_sales(lost)} to be settled that may be of this.", soft=True)
        )
    return found


def _counting(lines: list[StallLine]) -> list[Open]:
    """Name each pass that counts something one by one and has not been ended."""
    passes = {
        part.in_pass.pk: part.in_pass
        for line in lines
        if line.running
        for part in line.running.parts
        if part.in_pass and part.in_pass.ended_at is None
    }
    return [
        Open(
            Kind.COUNTING,
            f"{each.made_by} is still counting one by one ({each}): end the pass first.",
        )
        for _, each in sorted(passes.items())
    ]


def _sales(count: int) -> str:
    return "One entry waits" if count == 1 else f"{count} entries wait"


def _soft(weekend: Weekend, books: Books, now: datetime.datetime) -> list[Open]:
    found = []
    if bare := [box.name for box in books.sheet.used if not box.has_float]:
        which = "the till" if len(books.sheet.used) == 1 else _some(bare)
        found.append(Open(Kind.NO_FLOAT, f"No float was entered: {which} began empty.", soft=True))
    if books.between is not None and books.between.is_open:
        found.append(Open(Kind.CARRIED, _carried(books.between), soft=True))
    if not is_over(weekend, now):
        found.append(
            Open(
                Kind.NOT_OVER,
                f"The weekend is not over before the end of {dates.weekday(weekend.last_day)}: "
                "after closing, nothing more can be sold in it.",
                soft=True,
            )
        )
    return found


def _carried(between: Carried) -> str:
    studio = the_studio()
    return (
        f"Statement {between.number} left {money(between.left, studio)} in the till, and this "
        f"weekend began with {money(between.floats, studio)}: nobody said what became of the rest."
    )


def _some(names: list[str]) -> str:
    """Return the first few names, and how many more there are."""
    more = len(names) - MANY
    return "; ".join(names[:MANY]) + (f" and {more} more" if more > 0 else "")
