"""Customers' deposits as the books have them: what is held, by weekend, and whether it adds up.

A deposit that is held is owed to its customer: it becomes turnover with the sale that hands the
piece over, goes back, or is kept as other income. Reads only; minor units.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Sum

from vendor.counter.models import Deposit, Payment, Sale
from vendor.fairs.models import Fair
from vendor.ledger.audit import Drift
from vendor.supporters.models import Commitment

Kind = Deposit.Kind


@dataclass(slots=True)
class Change:
    """What a weekend did to the deposits held: by way of paying what came, less what went back."""

    received: dict[str, int]
    kept: int = 0
    used: int = 0

    @property
    def held(self) -> int:
        """By how much more is held; below zero: less."""
        return sum(self.received.values()) - self.kept - self.used


def held() -> int:
    """Return what is held for customers now (one statement)."""
    paid = Commitment.objects.open().aggregate(sum=Sum("paid"))["sum"]
    return paid or 0


def changes(fair: Fair) -> dict[int, Change]:
    """Return by weekend what deposits came, went, were kept and became sales (two statements)."""
    found: dict[int, Change] = defaultdict(lambda: Change(defaultdict(int)))
    rows = (
        Deposit.objects.filter(fair=fair)
        .order_by()
        .values_list("weekend_id", "kind", "method")
        .annotate(sum=Sum("amount"))
    )
    for weekend_id, kind, method, amount in rows:
        if kind == Kind.KEPT:
            found[weekend_id].kept += amount
        else:
            found[weekend_id].received[method] += amount if kind == Kind.TAKEN else -amount
    used = (
        Payment.objects.filter(
            method=Payment.Method.DEPOSIT, sale__fair=fair, sale__undoing__isnull=True
        )
        .order_by()
        .values_list("sale__weekend_id")
        .annotate(sum=Sum("amount"))
    )
    for weekend_id, amount in used:
        found[weekend_id].used += amount
    return found


def audit_deposits() -> list[Drift]:
    """Return every commission whose paid figure differs from its deposits; [] is clean.

    And every one that was handed over without exactly one sale that stands (three statements).
    """
    sums: dict[int, int] = defaultdict(int)
    for pk, kind, amount in Deposit.objects.values_list("commitment_id", "kind", "amount"):
        sums[pk] += amount if kind == Kind.TAKEN else -amount
    sales: dict[int, int] = defaultdict(int)
    standing = Sale.objects.filter(commitment__isnull=False, undoing__isnull=True)
    for pk in standing.values_list("commitment_id", flat=True):
        sales[pk] += 1
    commissions = Commitment.objects.filter(price__isnull=False).order_by("number")
    return [drift for each in commissions for drift in _drifts(each, sums[each.pk], sales[each.pk])]


def _drifts(promise: Commitment, paid: int, sales: int) -> Iterator[Drift]:
    if promise.paid != paid:
        yield Drift("paid in advance", str(promise), promise.paid, paid)
    handed = int(promise.state == Commitment.State.HANDED_OVER)
    if sales != handed:
        yield Drift("sales of a commission", str(promise), handed, sales)
