"""What stands between a weekend and its closing, each thing in a sentence."""

import datetime
from dataclasses import dataclass
from enum import StrEnum

from vendor.closing.queries import StallLine, TillSheet, stall_lines, till_sheet
from vendor.counter.models import Unsettled
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.studio import the_studio

MANY = 5


class Kind(StrEnum):
    """What may stand open."""

    EARLIER = "earlier"
    UNSETTLED = "unsettled"
    UNCOUNTED = "uncounted"
    UNEXPLAINED = "unexplained"
    CASH = "cash"
    CASH_REASON = "cash_reason"
    NOT_OVER = "not_over"
    NO_FLOAT = "no_float"


@dataclass(frozen=True, slots=True)
class Open:
    """One thing that stands open; `soft` where a yes of the owner is enough."""

    kind: Kind
    what: str
    soft: bool = False


def still_open(weekend: Weekend, *, now: datetime.datetime) -> list[Open]:
    """Return what stands in the way of closing a weekend, in the order to do it."""
    return open_items(weekend, stall_lines(weekend), till_sheet(weekend), now=now)


def open_items(
    weekend: Weekend, lines: list[StallLine], sheet: TillSheet, *, now: datetime.datetime
) -> list[Open]:
    """Like `still_open`, of lines and a till that were read already."""
    found = [*_earlier(weekend), *_unsettled(weekend)]
    if uncounted := [line.name for line in lines if line.count is None]:
        found.append(Open(Kind.UNCOUNTED, f"Not counted yet: {_some(uncounted)}."))
    if unexplained := [line.name for line in lines if line.is_open]:
        found.append(Open(Kind.UNEXPLAINED, f"Differs without a reason: {_some(unexplained)}."))
    if sheet.count is None:
        found.append(Open(Kind.CASH, "The cash is not counted yet."))
    elif sheet.is_open:
        found.append(Open(Kind.CASH_REASON, "The till is over or short without a reason."))
    return found + _soft(weekend, sheet, now)


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


def _sales(count: int) -> str:
    return "One sale waits" if count == 1 else f"{count} sales wait"


def _soft(weekend: Weekend, sheet: TillSheet, now: datetime.datetime) -> list[Open]:
    found = []
    if not sheet.has_float:
        found.append(Open(Kind.NO_FLOAT, "No float was entered: the till began empty.", soft=True))
    if not is_over(weekend, now):
        found.append(
            Open(
                Kind.NOT_OVER,
                f"The weekend is not over before the end of {weekend.last_day:%A}: after closing, "
                "nothing more can be sold in it.",
                soft=True,
            )
        )
    return found


def _some(names: list[str]) -> str:
    """Return the first few names, and how many more there are."""
    more = len(names) - MANY
    return "; ".join(names[:MANY]) + (f" and {more} more" if more > 0 else "")
