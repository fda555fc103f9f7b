"""The whole-book check: rebuild every balance and hold from the lines, and name any drift."""

from collections import defaultdict
from dataclasses import dataclass

from django.db import connection
from django.db.models import Sum

from vendor.ledger import triggers
from vendor.ledger.models import Balance, Entry, Hold, HoldLine, Movement, Place

Spot = tuple[int, int, str]  # place, ware, grade


@dataclass(frozen=True, slots=True)
class Drift:
    """One thing that is not as the lines say."""

    rule: str
    what: str
    recorded: int
    rebuilt: int

    def __str__(self) -> str:
        return f"{self.rule}: {self.what}: recorded {self.recorded}, rebuilt {self.rebuilt}"


def audit() -> list[Drift]:
    """Return every drift between what is recorded and what the lines add up to; [] is clean."""
    sums = _sums_by_place()
    return [
        *_balances(sums),
        *_holds(),
        *_conservation(sums),
        *_reversals(),
        *(Drift("trigger", f"{name} is not in the database", 0, 1) for name in _unguarded()),
    ]


def _unguarded() -> list[str]:
    return triggers.missing(connection)


def _sums_by_place() -> dict[Spot, int]:
    """Return the sum of all movements by place (outside ones too), ware and grade."""
    sums: dict[Spot, int] = defaultdict(int)
    for end, sign in (("target_id", 1), ("source_id", -1)):
        rows = Movement.objects.order_by().values_list(end, "ware_id", "grade")
        for place_id, ware_id, grade, total in rows.annotate(total=Sum("quantity")):
            sums[place_id, ware_id, grade] += sign * total
    return sums


def _balances(sums: dict[Spot, int]) -> list[Drift]:
    physical = {place.pk: place.name for place in Place.objects.physical()}
    held: dict[Spot, int] = defaultdict(int)
    rows = HoldLine.objects.order_by().values_list("place_id", "hold__ware_id", "hold__grade")
    for place_id, ware_id, grade, total in rows.annotate(total=Sum("change")):
        held[place_id, ware_id, grade] = total
    recorded: dict[Spot, Balance] = {
        (row.place_id, row.ware_id, row.grade): row for row in Balance.objects.all()
    }
    drifts = []
    rebuilt = {spot for spot in sums if spot[0] in physical}
    for spot in sorted(recorded.keys() | rebuilt | held.keys()):
        row = recorded.get(spot) or Balance(on_hand=0, held=0)
        what = f"{physical.get(spot[0], spot[0])}, ware {spot[1]}, {spot[2]}"
        if row.on_hand != sums.get(spot, 0):
            drifts.append(Drift("on hand", what, row.on_hand, sums.get(spot, 0)))
        if row.held != held.get(spot, 0):
            drifts.append(Drift("held", what, row.held, held.get(spot, 0)))
        if not 0 <= row.held <= row.on_hand:
            drifts.append(Drift("0 ≤ held ≤ on hand", what, row.held, row.on_hand))
    return drifts


def _holds() -> list[Drift]:
    """Compare each hold's own quantity and place with its lines."""
    at: dict[int, dict[int, int]] = defaultdict(dict)
    rows = HoldLine.objects.order_by().values_list("hold_id", "place_id")
    for hold_id, place_id, total in rows.annotate(total=Sum("change")):
        if total:
            at[hold_id][place_id] = total
    drifts = []
    for hold in Hold.objects.all():
        lines = at.get(hold.pk, {})
        if hold.quantity != sum(lines.values()):
            drifts.append(Drift("hold quantity", hold.label, hold.quantity, sum(lines.values())))
        if lines and set(lines) != {hold.place_id}:
            drifts.append(Drift("hold place", hold.label, hold.place_id, min(lines)))
    return drifts


def _conservation(sums: dict[Spot, int]) -> list[Drift]:
    """Every piece that left one place entered another: the sum over all places is zero."""
    by_ware: dict[tuple[int, str], int] = defaultdict(int)
    for (_, ware_id, grade), total in sums.items():
        by_ware[ware_id, grade] += total
    return [
        Drift("conservation", f"ware {ware_id}, {grade}", total, 0)
        for (ware_id, grade), total in sorted(by_ware.items())
        if total
    ]


def _reversals() -> list[Drift]:
    """Every reversal mirrors what it reverses."""
    drifts = []
    reversals = Entry.objects.filter(reverses__isnull=False).prefetch_related(
        "movements", "reverses__movements"
    )
    for entry in reversals:
        assert entry.reverses is not None
        mirror = sorted(
            (line.ware_id, line.grade, line.target_id, line.source_id, line.quantity)
            for line in entry.movements.all()
        )
        lines = sorted(
            (line.ware_id, line.grade, line.source_id, line.target_id, line.quantity)
            for line in entry.reverses.movements.all()
        )
        if mirror != lines:
            drifts.append(Drift("reversal", str(entry), len(mirror), len(lines)))
    return drifts
