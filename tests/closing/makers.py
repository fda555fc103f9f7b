"""Short ways to tell what happened at a stall over a weekend."""

import datetime
from dataclasses import dataclass

from tests.factories import NOW
from tests.fairs.makers import on_the_stall
from vendor.closing import actions
from vendor.closing.models import CashCount, Closing, StallCount
from vendor.closing.queries import StallLine, stall_lines
from vendor.counter import cashbox
from vendor.counter.models import Payment, Sale, TakenBack, TillMovement
from vendor.fairs.models import Weekend
from vendor.house.models import User, new_key
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Line
from vendor.ledger.models import Entry, Place
from vendor.ware.models import Ware

SATURDAY_NOON = datetime.datetime(2026, 11, 21, 12, 0, tzinfo=NOW.tzinfo)
SATURDAY_NIGHT = datetime.datetime(2026, 11, 21, 18, 30, tzinfo=NOW.tzinfo)
SUNDAY_NOON = SATURDAY_NOON + datetime.timedelta(days=1)
SUNDAY_NIGHT = datetime.datetime(2026, 11, 22, 18, 30, tzinfo=NOW.tzinfo)
MONDAY = SUNDAY_NIGHT + datetime.timedelta(days=1)
NEXT_SATURDAY = SATURDAY_NOON + datetime.timedelta(days=7)
NEXT_SUNDAY = SUNDAY_NIGHT + datetime.timedelta(days=7)


@dataclass(frozen=True)
class Stall:
    """A stall and its two weekends."""

    owner: User
    first: Weekend
    second: Weekend

    @property
    def place(self) -> Place:
        """Where its ware stands."""
        return self.first.fair.stall

    def packs(self, ware: Ware, quantity: int, *, weekend: Weekend | None = None) -> None:
        """Make pieces and bring them in the van."""
        on_the_stall(weekend or self.first, ware, quantity, self.owner)

    def sells(
        self,
        ware: Ware,
        quantity: int = 1,
        *,
        at: datetime.datetime = SATURDAY_NOON,
        amount: int = 0,
        method: str = "cash",
        tip: int = 0,
        till: int = 1,
    ) -> Sale:
        """Sell pieces for an amount, tax and all."""
        weekend = self.second if at >= NEXT_SATURDAY - datetime.timedelta(days=1) else self.first
        key = new_key()
        entry = ledger.sell(
            key=key, lines=[Line(ware.pk, quantity)], source=self.place, who=self.owner, now=at
        )
        sale = Sale.objects.create(
            key=key, fair=weekend.fair, weekend=weekend, number=Sale.objects.count() + 1,
            day=entry.day, sold_at=at, received_at=at, seller=self.owner, currency="USD",
            tax_rate_ppm=0, tax_included=False, tax_rounding="receipt", net=amount, tax=0,
            total=amount, pieces=quantity, digest="", entry=entry, till=till,
        )  # fmt: skip
        Payment.objects.create(sale=sale, method=method, amount=amount, tip=tip)
        return sale

    def refunds(self, sale: Sale, amount: int, ware: Ware, *, method: str = "cash") -> TakenBack:
        """Take one piece of a sale back and give money for it."""
        key = new_key()
        entry = ledger.take_back(
            key=key, lines=[Line(ware.pk, 1)], into=self.place, who=self.owner, now=SATURDAY_NOON,
            reason="chipped",
        )  # fmt: skip
        return TakenBack.objects.create(
            key=key, made_by=self.owner, made_at=SATURDAY_NOON, sale=sale, weekend=sale.weekend,
            day=entry.day, happened_at=SATURDAY_NOON, reason="chipped", method=method, net=amount,
            tax=0, total=amount, entry=entry,
        )  # fmt: skip

    def loses(self, ware: Ware, quantity: int, to: str) -> Entry:
        """Take pieces out unsold: broken, given, traded, own use."""
        return ledger.remove(
            key=new_key(), lines=[Line(ware.pk, quantity)], source=self.place, to=to,
            who=self.owner, now=SATURDAY_NOON, reason="it happens",
        )  # fmt: skip

    def cash(
        self, kind: str, amount: int, *, weekend: Weekend | None = None, **more: object
    ) -> None:
        """Put cash into the till, or take it out."""
        TillMovement.objects.create(
            weekend=weekend or self.first,
            **{
                "key": new_key(), "made_by": self.owner, "made_at": SATURDAY_NOON, "kind": kind,
                "amount": amount, "reason": "change", **more,
            },
        )  # fmt: skip

    def counts(
        self, ware: Ware, counted: int, *, weekend: Weekend | None = None, **more: object
    ) -> StallCount:
        """Count a ware, following on whatever count stands."""
        weekend = weekend or self.first
        line = self.line(ware, weekend=weekend)
        said = {
            "key": new_key(), "saw": line.version if line else 0, "who": self.owner,
            "now": SUNDAY_NIGHT, "grade": "first", **more,
        }  # fmt: skip
        return actions.count_ware(weekend=weekend, ware_id=ware.pk, counted=counted, **said)  # type: ignore[arg-type]

    def explains(self, ware: Ware, reason: str, *, weekend: Weekend | None = None) -> StallCount:
        """Say why a ware's count differs."""
        return actions.explain_ware(
            key=new_key(), weekend=weekend or self.first, ware_id=ware.pk, grade="first",
            reason=reason, who=self.owner, now=SUNDAY_NIGHT,
        )  # fmt: skip

    def counts_cash(
        self,
        counted: int,
        *,
        weekend: Weekend | None = None,
        till: int = 1,
        day: datetime.date | None = None,
        now: datetime.datetime = SUNDAY_NIGHT,
    ) -> CashCount:
        """Count a till, at the end of the weekend or of a day."""
        weekend = weekend or self.first
        return actions.count_cash(
            key=new_key(), weekend=weekend, till=till, day=day, counted=counted, who=self.owner,
            now=now, saw=CashCount.objects.filter(weekend=weekend, till=till, day=day).count(),
        )  # fmt: skip

    def explains_cash(
        self, reason: str, *, till: int = 1, day: datetime.date | None = None
    ) -> CashCount:
        """Say why a till is over or short."""
        return actions.explain_cash(
            key=new_key(), weekend=self.first, till=till, day=day, reason=reason, who=self.owner,
            now=SUNDAY_NIGHT,
        )  # fmt: skip

    def takes_out(
        self, amount: int, *, till: int = 1, day: datetime.date | None = None
    ) -> TillMovement:
        """Take cash out of a till that was counted."""
        return actions.take_out(
            key=new_key(), weekend=self.first, till=till, day=day, amount=amount, reason="home",
            who=self.owner, now=SUNDAY_NIGHT,
        )  # fmt: skip

    def opens_till(self, name: str = "Second box") -> None:
        """Open another cash box."""
        cashbox.add_till(
            key=new_key(), weekend=self.first, name=name, who=self.owner, now=SATURDAY_NOON
        )

    def closes(self, *, weekend: Weekend | None = None, **more: object) -> Closing:
        """Close a weekend, with a yes to what a yes is enough for."""
        said = {
            "key": new_key(), "who": self.owner, "now": SUNDAY_NIGHT, "confirmed": True, **more,
        }  # fmt: skip
        return actions.close_weekend(weekend=weekend or self.first, **said)  # type: ignore[arg-type]

    def line(self, ware: Ware, *, weekend: Weekend | None = None) -> StallLine | None:
        """Return how a ware stands."""
        lines = stall_lines(weekend or self.first)
        return next((each for each in lines if each.ware == ware), None)
