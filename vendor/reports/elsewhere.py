"""What sold away from the fairs: early to supporters, and online. Money is in minor units.

A sale that was undone counts nowhere. Only the price is on record here, not its tax.
"""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import F, Sum

from vendor.house.money import half_up
from vendor.ledger.posting import piece
from vendor.supporters.models import ShopSale
from vendor.ware.models import Grade, Ware


@dataclass(frozen=True, slots=True)
class AwayRow:
    """Pieces of one ware and grade that sold early and online, and what they came to."""

    ware: Ware
    grade: str
    early: int
    online: int
    total: int

    @property
    def name(self) -> str:
        """The ware in words."""
        return piece(self.ware, self.grade)

    @property
    def pieces(self) -> int:
        """How many sold in all."""
        return self.early + self.online

    @property
    def each(self) -> int:
        """The average price of a piece, rounded half up."""
        return half_up(self.total, self.pieces)


def sold_elsewhere() -> list[AwayRow]:
    """Return what sold early and online, by ware and grade (two statements)."""
    pieces: dict[tuple[int, str], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    money: dict[tuple[int, str], int] = defaultdict(int)
    sums = (
        ShopSale.objects.filter(undone_at__isnull=True)
        .order_by()
        .values_list("ware_id", "grade", "channel")
        .annotate(count=Sum("quantity"), amount=Sum(F("quantity") * F("price")))
    )
    for ware_id, grade, channel, count, amount in sums:
        pieces[ware_id, grade][channel] += count
        money[ware_id, grade] += amount
    wares = Ware.objects.named().filter(pk__in={ware_id for ware_id, _ in pieces})
    return [
        AwayRow(
            ware=ware,
            grade=grade,
            early=pieces[ware.pk, grade][ShopSale.Channel.EARLY],
            online=pieces[ware.pk, grade][ShopSale.Channel.ONLINE],
            total=money[ware.pk, grade],
        )
        for ware in wares
        for grade in (Grade.FIRST, Grade.SECOND)
        if (ware.pk, grade) in money
    ]
