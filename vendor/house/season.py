"""The season's round: the entries of the navigation, and which of them a person gets to see.

Parts are named by URL name only, so that the house knows nothing of the parts above it. An entry
whose page is not there, or which the visitor may not open, is left out.
"""

from dataclasses import dataclass
from typing import Any

from django.urls import NoReverseMatch, Resolver404, ResolverMatch, resolve, reverse

from vendor.house.access import may_open


@dataclass(frozen=True)
class Entry:
    """One entry: its word, its page, what it is for, the parts whose pages it stands for."""

    name: str
    page: str
    about: str = ""
    parts: tuple[str, ...] = ()
    near: bool = False


@dataclass(frozen=True)
class Shown:
    """An entry as one visitor sees it; `current` is the value of aria-current, or empty."""

    name: str
    about: str
    url: str
    current: str
    near: bool


ROUND = (
    Entry("Home", "studio:home", "the one next thing", (), near=True),
    Entry("Fire", "firings:index", "kilns, counting out, losses", ("firings",)),
    Entry("Shelf", "ledger:shelf", "what there is, and where", ("ledger", "ware"), near=True),
    Entry("Promises", "supporters:index", "supporters and what is owed", ("supporters",)),
    Entry("Tags", "labels:index", "price tags to print", ("labels",)),
    Entry("Pack", "fairs:index", "fairs, the van, the totes", ("fairs",)),
    Entry("Sell", "counter:sell", "at the stall", ("counter",), near=True),
    Entry("Close", "closing:index", "count pots and money", ("closing",), near=True),
    Entry("Restock", "restock:index", "what to bring, and why", ("restock",)),
    Entry("Reports", "reports:index", "what sold, tax, exports", ("reports",)),
)
ACCOUNT = (
    Entry("Settings", "studio:settings"),
    Entry("People", "studio:people"),
)


def address_of(page: str, user: Any, *args: Any) -> str | None:
    """Return the address of a named page, or None where it is missing or closed to the visitor."""
    try:
        address = reverse(page, args=args)
        view = resolve(address).func
    except (NoReverseMatch, Resolver404):
        return None
    return address if may_open(view, user) else None


def shown(entries: tuple[Entry, ...], user: Any, match: ResolverMatch | None) -> list[Shown]:
    """Return the entries that a visitor may open, with the one marked on whose page they are."""
    found = []
    for entry in entries:
        address = address_of(entry.page, user)
        if address is not None:
            current = _current(entry, match)
            found.append(Shown(entry.name, entry.about, address, current, entry.near))
    return found


def _current(entry: Entry, match: ResolverMatch | None) -> str:
    if match is None:
        return ""
    if match.view_name == entry.page:
        return "page"
    return "true" if match.namespace in entry.parts else ""
