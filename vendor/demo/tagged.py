"""Prints the price tags of each firing on the evening it was unloaded; the latest one's wait."""

import datetime

from vendor.demo.hands import Hands
from vendor.demo.season import Fired
from vendor.firings.models import Firing
from vendor.labels import actions, choosing
from vendor.labels.job import Item, Job
from vendor.labels.models import Kind, LabelPrinter, LabelSheet, Symbol
from vendor.ware.models import Grade, PriceTier, Ware

LATE = datetime.time(21)


def print_tags(fired: Fired, *, hands: Hands) -> None:
    """Print a tag for each free piece that the latest firing in the book brought."""
    firing = Firing.objects.order_by("-number")[0]
    if fired.unloaded_on is None or firing.unloaded_at is None:
        return
    source = choosing.of_firing(firing)
    ware = Ware.objects.in_bulk([ware_id for ware_id, _ in source.counts])
    tiers = {
        False: PriceTier.objects.get(is_base=True).pk,
        True: PriceTier.objects.get(for_seconds=True).pk,
    }
    items = [
        Item(
            quantity,
            ware[ware_id],
            grade,
            hands.price(ware[ware_id].code, grade),
            tiers[grade == Grade.SECOND],
        )
        for (ware_id, grade), quantity in source.counts.items()
    ]
    job = Job(
        kind=Kind.STICKER,
        symbol=Symbol.CODE128,
        sheet=LabelSheet.objects.order_by("pk")[0],
        printer=LabelPrinter.objects.order_by("pk")[0],
        items=items,
        source=source.title,
    )
    actions.print_tags(
        key=f"demo-tags-{firing.number}",
        job=job,
        who=hands.owner,
        now=hands.at(fired.unloaded_on, LATE),
    )
