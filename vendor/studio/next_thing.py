"""The one next thing to do before the coming weekend, and what stands in the way of it.

No table is read here: facts in, a sentence out. The order is the order in which a potter's week
can go wrong.
"""

import datetime
from dataclasses import dataclass

from django.urls import reverse


@dataclass(frozen=True, slots=True)
class WeekendFacts:
    """What matters here about one weekend; `span` is its days in words."""

    pk: int
    number: int
    fair: str
    first_day: datetime.date
    last_day: datetime.date
    span: str


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The ware whose missing pieces would cost the coming weekend most, and why."""

    ware: str
    pieces: int
    why: str


@dataclass(frozen=True, slots=True)
class Facts:
    """How the season stands on a day; counts are pieces, promises, sales or ware."""

    today: datetime.date
    ware: int
    fairs: int
    coming: WeekendFacts | None
    unclosed: WeekendFacts | None
    waiting_firing: tuple[int, int] | None  # its id and its number
    unsettled_sales: int
    overdue_promises: int
    promises_due: int
    lists_written: int
    lists_loaded: int
    open_lists: int
    shortfall: Shortfall | None = None
    tags_out_of_date: int = 0
    earners: int = 0  # supporters with a piece that is earned and not promised
    choices_missing: int = 0


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing to do: what, why, and the page on which it is done (URL name and argument)."""

    what: str
    why: str
    act: str
    url_name: str
    url_arg: int | None = None

    @property
    def address(self) -> str:
        """The address of that page."""
        return reverse(self.url_name, args=[self.url_arg] if self.url_arg else None)


def next_thing(facts: Facts) -> Thing:
    """Return the one next thing."""
    return things(facts)[0]


def things(facts: Facts) -> list[Thing]:
    """Return everything that is to be done, the most urgent first; never empty."""
    found = [
        *_to_start(facts),
        *_at_the_stall(facts),
        *_to_close(facts),
        *_at_the_kiln(facts),
        *_promised(facts),
        *_short(facts),
        *_untrue_tags(facts),
        *_to_pack(facts),
        *_earned(facts),
    ]
    return found or [_all_well(facts)]


def days_until(facts: Facts, day: datetime.date) -> str:
    """Return in words how far off a day is."""
    days = (day - facts.today).days
    if days <= 0:
        return "today"
    return "tomorrow" if days == 1 else f"in {days} days"


def _to_start(facts: Facts) -> list[Thing]:
    if not facts.ware:
        why = "Everything else is counted, priced and sold by ware: a form in a finish."
        return [Thing("Say what you make", why, "Enter forms and finishes", "ware:index")]
    if not facts.fairs:
        why = "Prices, tax, packing and sales all belong to a fair and its weekends."
        return [Thing("Plan the fair", why, "Enter the fair", "fairs:index")]
    return []


def _at_the_stall(facts: Facts) -> list[Thing]:
    weekend = facts.coming
    if weekend is None or not weekend.first_day <= facts.today <= weekend.last_day:
        return []
    why = f"Weekend {weekend.number} of {weekend.fair} is on."
    return [Thing("Sell", why, "Open the counter", "counter:sell")]


def _to_close(facts: Facts) -> list[Thing]:
    found = []
    if facts.unclosed is not None:
        days = facts.unclosed.span
        why = "The weekend is over, and its pots and money have not been counted."
        found.append(
            Thing(f"Count and close {days}", why, "Close it", "closing:weekend", facts.unclosed.pk)
        )
    if facts.unsettled_sales:
        count = facts.unsettled_sales
        many = f"{count} entries at the stall wait to be settled"
        what = "An entry at the stall waits to be settled" if count == 1 else many
        why = "It reached the studio in a shape that can't be taken as it stands; nothing is lost."
        found.append(Thing(what, why, "Settle", "counter:tray"))
    return found


def _at_the_kiln(facts: Facts) -> list[Thing]:
    if facts.waiting_firing is None:
        return []
    pk, number = facts.waiting_firing
    why = "What is in the kiln is not on the shelf yet. Open it only when it is cool."
    return [Thing(f"Unload firing {number}", why, "Count it out", "firings:unload", pk)]


def _promised(facts: Facts) -> list[Thing]:
    found = []
    if facts.overdue_promises:
        count = facts.overdue_promises
        what = "A promise is overdue" if count == 1 else f"{count} promises are overdue"
        why = "It was due before today and has not been sent."
        found.append(Thing(what, why, "Look at it", "supporters:index"))
    if facts.promises_due:
        count = facts.promises_due
        what = "Keep a promise this week" if count == 1 else f"Keep {count} promises this week"
        why = "Due within seven days and not sent."
        found.append(Thing(what, why, "See promises", "supporters:index"))
    return found


def _short(facts: Facts) -> list[Thing]:
    if facts.shortfall is None:
        return []
    short = facts.shortfall
    what = f"{short.ware}: {short.pieces} more would sell"
    return [Thing(what, short.why, "See what is short", "restock:index")]


def _untrue_tags(facts: Facts) -> list[Thing]:
    if not facts.tags_out_of_date:
        return []
    count = facts.tags_out_of_date
    what = "A tag is out of date" if count == 1 else f"{count} tags are out of date"
    why = "The price has changed since they were printed."
    return [Thing(what, why, "Print them anew", "labels:index")]


def _to_pack(facts: Facts) -> list[Thing]:
    weekend = facts.coming
    if weekend is None or (facts.lists_loaded and not facts.open_lists):
        return []
    days = weekend.span
    when = days_until(facts, weekend.first_day)
    if facts.open_lists:
        why = f"The packing list is written, and the weekend begins {when}."
        return [Thing(f"Load the van for {days}", why, "See the list", "fairs:index")]
    why = f"Weekend {weekend.number} of {weekend.fair} begins {when}, and nothing is packed."
    return [Thing(f"Decide what to bring on {days}", why, "See what to bring", "restock:index")]


def _earned(facts: Facts) -> list[Thing]:
    found = []
    if facts.choices_missing:
        count = facts.choices_missing
        what = "A promise waits for choices" if count == 1 else f"{count} promises wait for choices"
        why = "What a supporter wants can only be made once they have said it."
        found.append(Thing(what, why, "See which", "supporters:making"))
    if facts.earners:
        count = facts.earners
        who = "A supporter has" if count == 1 else f"{count} supporters have"
        why = "It is not promised yet. Once it is written down it can't be forgotten."
        what = f"{who} earned a piece"
        found.append(Thing(what, why, "See what is earned", "supporters:earned"))
    return found


def _all_well(facts: Facts) -> Thing:
    if facts.coming is None:
        why = "No weekend is ahead. The reports say what sold, where and when."
        return Thing("The season is done", why, "See the reports", "reports:index")
    days = facts.coming.span
    why = "Everything is packed, promised and counted."
    return Thing(
        f"Nothing stands in the way of {days}", why, "See what to make next", "restock:index"
    )
