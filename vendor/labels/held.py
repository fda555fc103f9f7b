"""Price tags are for free pieces alone: how many of each there may be, where some are held.

A held piece that carries a price could be sold by mistake; it gets a tag that says what it is held
for, and no price. Where nothing of a ware and grade is held, there is nothing to protect: as many
tags may be printed as are wanted, also of ware that isn't in the book yet. Where something is held,
pieces that are in a kiln now may be tagged beside the free ones: they come out with nobody's name.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.db.models import Sum

from vendor.firings.models import Firing, FiringLine
from vendor.house.errors import Refused
from vendor.labels.job import Job
from vendor.labels.models import ON_PIECES
from vendor.labels.queries import Spot
from vendor.ledger.models import Balance


class HeldPieces(Refused):
    """Price tags were asked for more pieces than are free, while some are held."""


@dataclass(frozen=True, slots=True)
class Stock:
    """The pieces of one ware and grade at all places: free, held, and in a kiln still."""

    free: int = 0
    held: int = 0
    in_kiln: int = 0

    @property
    def most(self) -> int | None:
        """The most price tags there may be, None where any number will do."""
        return self.free + self.in_kiln if self.held else None

    def fault(self, wanted: int) -> str | None:
        """Say why so many price tags are too many, or give None."""
        if self.most is None or wanted <= self.most:
            return None
        free = f"{self.free} {'piece is' if self.free == 1 else 'pieces are'} free"
        kiln = f" and {self.in_kiln} more in the kiln" if self.in_kiln else ""
        held = f"{self.held} {'is' if self.held == 1 else 'are'} held"
        return (
            f"{wanted} price tags are too many: {free}{kiln}, and {held}. What is held gets a "
            f"reward tag, which says no price. Write {self.most} at most."
        )


NOTHING = Stock()


def stock() -> dict[Spot, Stock]:
    """Return what there is of each ware and grade that stands anywhere (at most two statements)."""
    rows = Balance.objects.order_by().values_list("ware_id", "grade")
    found = list(rows.annotate(Sum("on_hand"), Sum("held")))
    kiln = _in_kiln({ware_id for ware_id, _, _, held in found if held})
    return {
        (ware_id, grade): Stock(on_hand - held, held, kiln.get(ware_id, 0))
        for ware_id, grade, on_hand, held in found
    }


def _in_kiln(wares: Collection[int]) -> Mapping[int, int]:
    """Return how many pieces of each ware a kiln holds that isn't unloaded; any may be a second."""
    if not wares:
        return {}
    lines = FiringLine.objects.filter(ware__in=wares, firing__in=Firing.objects.to_unload())
    return dict(lines.order_by().values_list("ware_id").annotate(Sum("loaded")))


def refuse_held(job: Job) -> None:
    """Refuse (HeldPieces) a job with price tags for pieces that are held (two statements)."""
    if job.kind not in ON_PIECES:
        return
    there, wanted = stock(), dict[Spot, int]()
    for item in job.items:
        if item.price is not None and item.ware is not None:
            spot = (item.ware.pk, item.grade)
            wanted[spot] = wanted.get(spot, 0) + item.quantity
            fault = there.get(spot, NOTHING).fault(wanted[spot])
            if fault:
                raise HeldPieces(f"Nothing was printed. {item.name}: {fault}")
