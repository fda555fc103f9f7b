"""Every page of the house that a person can look at, found from the addresses themselves."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.counter.test_document import proper
from vendor.counter import commissions, intake
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import Unsettled
from vendor.demo.load import load_demo
from vendor.fairs import van
from vendor.fairs.models import Weekend
from vendor.house.access import access_of
from vendor.house.models import User
from vendor.supporters import actions as supporters
from vendor.ware.models import Ware

WEDNESDAY = datetime.datetime(2026, 12, 2, 14, tzinfo=datetime.UTC)
# What a number in an address is about: by part and the word before it, the model and its field.
ABOUT: dict[tuple[str, str], tuple[str, str]] = {
    ("studio", "people"): ("house.User", "pk"),
    ("fairs", "fairs"): ("fairs.Fair", "pk"),
    ("fairs", "weekends"): ("fairs.Weekend", "pk"),
    ("fairs", "lists"): ("fairs.PackingList", "pk"),
    ("closing", "weekends"): ("fairs.Weekend", "pk"),
    ("closing", "statements"): ("closing.Closing", "number"),
    ("counter", "bundles"): ("counter.Bundle", "pk"),
    ("counter", "sales"): ("counter.Sale", "pk"),
    ("counter", "commissions"): ("counter.Commission", "number"),
    ("counter", "deposits"): ("counter.Deposit", "pk"),
    ("counter", "tray"): ("counter.Unsettled", "pk"),
    ("ledger", "ware"): ("ware.Ware", "pk"),
    ("ledger", "entry"): ("ledger.Entry", "pk"),
    ("firings", "kilns"): ("firings.Kiln", "pk"),
    ("firings", ""): ("firings.Firing", "pk"),
    ("firings", "batches"): ("firings.Batch", "pk"),
    ("labels", "runs"): ("labels.PrintRun", "pk"),
    ("labels", "settings/sheets"): ("labels.LabelSheet", "pk"),
    ("labels", "settings/printers"): ("labels.LabelPrinter", "pk"),
    ("ware", ""): ("ware.Ware", "pk"),
    ("ware", "forms"): ("ware.Form", "pk"),
    ("ware", "finishes"): ("ware.Finish", "pk"),
    ("ware", "prices"): ("ware.PriceTier", "pk"),
    ("restock", "bring"): ("fairs.Weekend", "pk"),
    ("supporters", ""): ("supporters.Commitment", "number"),
    ("supporters", "batch"): ("firings.Batch", "pk"),
    ("supporters", "supporters"): ("supporters.Supporter", "pk"),
}
# Addresses that lead to no page of their own: a picture, and kinds of firing by name.
OTHERS: dict[str, dict[str, Any]] = {
    "photo": {"name": "none.jpg"},
    "firings:record": {"kind": "glaze"},
    "labels:proof": {"sheet": 1, "printer": 1},
}


@dataclass(frozen=True)
class Address:
    """One address of the house: its full name, its pattern, and who may open it."""

    name: str
    pattern: URLPattern
    access: str | None

    def arguments(self) -> dict[str, Any] | None:
        """Return arguments that lead to something; None where there is nothing to lead to."""
        names = list(self.pattern.pattern.converters)
        if self.name in OTHERS or not names:
            return OTHERS.get(self.name, {})
        before = str(self.pattern.pattern).split("<")[0].strip("/")
        about = ABOUT.get((self.name.split(":")[0], before))
        if about is None or len(names) > 1:
            return None
        model, field = about
        rows = apps.get_model(model).objects.order_by("pk")
        # The weekend to look at is the coming one; of everything else, the latest.
        row = rows.filter(number=3).first() if model == "fairs.Weekend" else rows.last()
        return None if row is None else {names[0]: getattr(row, field)}

    def path(self) -> str | None:
        """Return a path that leads there, or None where there is nothing to lead to."""
        arguments = self.arguments()
        return None if arguments is None else reverse(self.name, kwargs=arguments)


def addresses(resolver: URLResolver | None = None, prefix: str = "") -> Iterator[Address]:
    """Yield every address of the house."""
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLResolver):
            space = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            yield from addresses(pattern, space)
        else:
            yield Address(f"{prefix}{pattern.name}", pattern, access_of(pattern.callback))


def furnished() -> User:
    """Load the demo, and what it has none of: an open packing list, a sale to be settled."""
    load_demo(now=WEDNESDAY)
    owner = User.objects.get(role="owner")
    third = Weekend.objects.get(number=3)
    packing = van.start_list(key="open", weekend=third, who=owner, now=WEDNESDAY)
    jar = Ware.objects.get(code="THI-SHI")
    van.pack(packing_list=packing, lines=[van.Packed(jar.pk, 5)], who=owner, now=WEDNESDAY)
    intake.take_in(raws=[proper() | {"fair": third.fair_id}], who=owner, now=WEDNESDAY)
    assert Unsettled.objects.exists()
    _ordered(third, jar, owner)
    return owner


def _ordered(weekend: Weekend, ware: Ware, owner: User) -> None:
    """Take a commission with a deposit, and hold its piece."""
    at = At(weekend=weekend, day=weekend.first_day, moment=WEDNESDAY)
    made = commissions.take_commission(
        key="ordered", at=at, who=owner, now=WEDNESDAY,
        ordered=commissions.Ordered(name="Robin Lark", ware=ware, price=9000, choices="a hare"),
        deposit=commissions.Received(method=Method.CASH, amount=2000),
    )  # fmt: skip
    supporters.keep_piece(key="held", commitment=made.commitment, who=owner, now=WEDNESDAY)


def pages(client: Client) -> dict[str, str]:
    """Return the path of every page that answers a visit with HTML, by its address's name."""
    found = {}
    for address in addresses():
        path = address.path()
        if path is None:
            continue
        response = client.get(path)
        if response.status_code == 200 and response["Content-Type"].startswith("text/html"):
            found[address.name] = path
        else:
            expected = {200, 302, 405, 409} | ({404} if address.name in OTHERS else set())
            assert response.status_code in expected, (address.name, response.status_code)
    return found
