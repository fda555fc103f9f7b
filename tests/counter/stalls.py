"""A stall for the counter's tests: a fair, its weekends, ware with prices, and proper documents."""

import datetime
import itertools
from typing import Any

from tests.factories import (
    FinishFactory,
    FormFactory,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    TierFactory,
    UserFactory,
    WareFactory,
    stall,
    stocked,
)
from vendor.counter.amounts import reckon
from vendor.counter.figures import Discount, Item, Method, Tender, Terms
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.house.tax import TaxRounding
from vendor.ledger import holds
from vendor.ledger.models import Balance, Hold
from vendor.ware.models import Ware

SATURDAY = datetime.date(2026, 12, 5)
SUNDAY = datetime.date(2026, 12, 6)
# 11:20 on Saturday at the studio (America/New_York is five hours behind in December).
SOLD_AT = datetime.datetime(2026, 12, 5, 16, 20, tzinfo=datetime.UTC)
NOW = SOLD_AT + datetime.timedelta(seconds=3)
_keys = itertools.count(1)


class Stall:
    """Oxmere Mill on its third Saturday: ten tumblers, two of them as seconds, four bowls."""

    def __init__(self, **terms: Any) -> None:
        self.studio = StudioFactory()
        self.owner, self.helper = OwnerFactory(), UserFactory()
        self.tier = TierFactory()
        seconds = TierFactory(name="Second", is_base=False, for_seconds=True, share_ppm=500_000)
        self.seconds = seconds
        self.place = stall()
        given = {"tax_rate_ppm": 72_500, "tax_included": False, "cash_step": 1} | terms
        self.fair = Fair.objects.create(
            name="Oxmere Mill Winter Fair", stall=self.place, tier=self.tier, **given
        )
        self.weekend = self._weekend(3, SATURDAY)
        self.next_weekend = self._weekend(4, SATURDAY + datetime.timedelta(days=7))
        celadon = FinishFactory(code="CEL", name="celadon", colour="#9db8a0")
        self.tumbler = self._ware(
            FormFactory(code="TUM", name="Tumbler"), celadon, 3400, firsts=10, seconds=2
        )
        self.bowl = self._ware(
            FormFactory(code="BOWL", name="Berry bowl", height_mm=70, width_mm=140),
            FinishFactory(code="SHI", name="shino", colour="#d9b79a"),
            4600,
            firsts=4,
        )

    def _weekend(self, number: int, saturday: datetime.date) -> Weekend:
        sunday = saturday + datetime.timedelta(days=1)
        weekend = Weekend.objects.create(
            fair=self.fair, number=number, first_day=saturday, last_day=sunday
        )
        for day in (saturday, sunday):
            SellingDay.objects.create(weekend=weekend, day=day)
        return weekend

    def _ware(self, form: Any, finish: Any, price: int, *, firsts: int, seconds: int = 0) -> Ware:
        ware: Ware = WareFactory(form=form, finish=finish)
        PriceFactory(tier=self.tier, ware=ware, amount=price, set_by=self.owner)
        for quantity, grade in ((firsts, "first"), (seconds, "second")):
            if quantity:
                stocked(ware, quantity, at=self.place, grade=grade, who=self.owner)
        return ware

    def left(self, ware: Ware, grade: str = "first") -> int:
        """Return what stands on the stall."""
        row = Balance.objects.filter(place=self.place, ware=ware, grade=grade).first()
        return row.on_hand if row else 0

    def hold(self, ware: Ware, quantity: int = 1, label: str = "Promise 12") -> Hold:
        """Hold pieces on the stall."""
        return holds.hold(
            key=f"hold-{next(_keys)}",
            ware_id=ware.pk,
            at=self.place,
            quantity=quantity,
            purpose="commitment",
            label=label,
            who=self.owner,
            now=SOLD_AT - datetime.timedelta(days=3),
        )

    def document(self, *pieces: tuple[Ware, int], **changes: Any) -> dict[str, Any]:
        """Return a proper document of these pieces, paid in cash; `changes` replace its fields."""
        grade = changes.pop("grade", "first")
        lines = [
            {
                "ware": ware.code,
                "grade": grade,
                "name": ware.name,
                "quantity": quantity,
                "list_price": self.price(ware, grade),
                "unit_price": None,
                "discount": {"amount": 0, "rate_ppm": 0},
                "reason": "",
            }
            for ware, quantity in pieces or ((self.tumbler, 1),)
        ]
        document = {
            "format": "wareboard.sale",
            "version": 1,
            "key": f"{next(_keys):032x}",
            "fair": self.fair.pk,
            "sold_at": SOLD_AT.isoformat(),
            "device": "Tansy's phone",
            "terms": {
                "currency": "USD",
                "tax_rate_ppm": self.fair.tax_rate_ppm,
                "tax_included": self.fair.tax_included,
                "tax_rounding": "receipt",
                "cash_step": self.fair.cash_step,
            },
            "lines": lines,
            "discount": {"amount": 0, "rate_ppm": 0},
            "discount_reason": "",
            "payments": [{"method": "cash", "settles": 0, "tip": 0, "tendered": None}],
            "note": "",
        }
        return reckoned(document | changes)

    def price(self, ware: Ware, grade: str) -> int:
        """Return the price on the tag."""
        first = {self.tumbler.pk: 3400, self.bowl.pk: 4600}[ware.pk]
        return first if grade == "first" else first // 2


def reckoned(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document with one payment of the whole, and the figures that it comes to."""
    given = document["terms"]
    terms = Terms(
        tax_rate_ppm=given["tax_rate_ppm"],
        tax_included=given["tax_included"],
        tax_rounding=TaxRounding(given["tax_rounding"]),
        cash_step=given["cash_step"],
    )
    items = [
        Item(
            list_price=line["list_price"],
            quantity=line["quantity"],
            unit_price=line["unit_price"],
            discount=Discount(**line["discount"]),
        )
        for line in document["lines"]
    ]
    pays = document["payments"]
    one = len(pays) == 1
    tenders = [
        Tender(
            method=Method(pay["method"]),
            amount=None if one else pay["settles"],
            tendered=None if pay["tendered"] is None else pay["tendered"] - pay["tip"],
        )
        for pay in pays
    ]
    sums = reckon(items, terms, discount=Discount(**document["discount"]), payments=tenders)
    payments = [
        {**pay, "settles": figures.settled}
        for pay, figures in zip(pays, sums.payments, strict=True)
    ]
    figures = {
        "discount": sums.discount,
        "net": sums.net,
        "tax": sums.tax,
        "total": sums.total,
        "cash_rounding": sums.cash_rounding,
        "change": sum(payment.change for payment in sums.payments),
    }
    return {**document, "payments": payments, "figures": figures}
