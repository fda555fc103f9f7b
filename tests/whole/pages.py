"""Every page of the house that a person can look at, found from the addresses themselves."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from vendor.house.access import OWNER, PUBLIC, access_of


@dataclass(frozen=True)
class Address:
    """One address of the house: its full name, its pattern, and who may open it."""

    name: str
    pattern: URLPattern
    access: str | None

    def arguments(self) -> dict[str, Any]:
        """Return arguments that lead to something in the database.

        An `<int:pk>` is the latest row of the model that the page is about (see ABOUT).
        """
        if not self.pattern.pattern.converters:
            return {}
        if self.name in GIVEN:
            return GIVEN[self.name]()
        space = self.name.split(":")[0]
        about = ABOUT.get(self.name) or ABOUT.get(space)
        assert about, f"{self.name} takes arguments: say in ABOUT what the page is about"
        row = apps.get_model(about).objects.order_by("pk").last()
        assert row is not None, f"the demo has no {about} for {self.name}"
        return dict.fromkeys(self.pattern.pattern.converters, row.pk)

    def path(self) -> str:
        """Return a path that leads there."""
        return reverse(self.name, kwargs=self.arguments())


# What the pages with a number in their address are about, by name, else by part.
ABOUT: dict[str, str] = {
    "studio": "house.User",
    "firings": "firings.Firing",
    "firings:kiln": "firings.Kiln",
    "ledger": "ware.Ware",
    "ledger:entry": "ledger.Entry",
    "ledger:reverse": "ledger.Entry",
    "ware": "ware.Ware",
    "ware:form": "ware.Form",
    "ware:make": "ware.Form",
    "ware:finish": "ware.Finish",
    "ware:tier": "ware.PriceTier",
    "ware:tier_prices": "ware.PriceTier",
    "supporters": "supporters.Commitment",
    "fairs": "fairs.PackingList",
    "closing": "fairs.Weekend",
    "counter": "counter.Sale",
    "labels": "labels.PrintRun",
    "labels:sheet": "labels.LabelSheet",
    "labels:printer": "labels.LabelPrinter",
    "restock": "fairs.Weekend",
    "restock:ware": "ware.Ware",
}
# Where the latest row is not the one to look at.
GIVEN: dict[str, Callable[[], dict[str, Any]]] = {
    "labels:proof": lambda: {"sheet": 1, "printer": 1},
    "firings:record": lambda: {"kind": "glaze"},
}
# Addresses that answer with a file, which the demo has none of.
FILES = {"photo"}


def addresses(resolver: URLResolver | None = None, prefix: str = "") -> Iterator[Address]:
    """Yield every address of the house."""
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            space = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            yield from addresses(pattern, space)
        else:
            yield Address(f"{prefix}{pattern.name}", pattern, access_of(pattern.callback))


def pages(client: Client) -> dict[str, str]:
    """Return the path of every page that answers a visit with HTML, by its address's name."""
    found = {}
    for address in addresses():
        if address.name in FILES:
            continue
        path = address.path()
        response = client.get(path)
        if response.status_code == 200 and response["Content-Type"].startswith("text/html"):
            found[address.name] = path
        else:
            assert response.status_code in {200, 302, 405}, (address.name, response.status_code)
    return found


def owners_pages() -> list[str]:
    """Return the names of the pages that a helper may not see."""
    return [address.name for address in addresses() if address.access == OWNER]


def public_pages() -> list[str]:
    """Return the names of the pages that need no login."""
    return [address.name for address in addresses() if address.access == PUBLIC]
