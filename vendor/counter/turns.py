"""When a ware sold out at a stall and when it was there again, told from the day's own counts."""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from itertools import groupby

from django.db.models import Q

from vendor.ledger.models import Movement, Place
from vendor.ledger.queries import on_hand_at


@dataclass(frozen=True, slots=True)
class Turn:
    """A moment (with its zone) at which the last piece went, or `back`, one was there again."""

    ware: str
    grade: str
    back: bool
    at: str


def turns(place: Place, *, day: datetime.date) -> tuple[Turn, ...]:
    """Return a day's turns in the order in which they happened (two statements).

    The counts of the day are told backwards from what stands there now, so nothing may have moved
    since that day. What was loaded in the morning is not back, for it was not gone.
    """
    moved = (
        Movement.objects.filter(Q(source=place) | Q(target=place), entry__day=day)
        .select_related("entry", "ware")
        .order_by("entry__happened_at", "entry_id", "id")
    )
    changes: list[tuple[str, tuple[int, str], str, int]] = []
    # A piece that was found and sold in one entry was neither back nor gone.
    for entry, lines in groupby(moved, key=lambda line: line.entry):
        change: dict[tuple[int, str, str], int] = defaultdict(int)
        for line in lines:
            sign = 1 if line.target_id == place.pk else -1
            change[line.ware_id, line.grade, line.ware.code] += sign * line.quantity
        at = entry.happened_at.isoformat()
        changes += [(at, (ware, grade), code, by) for (ware, grade, code), by in change.items()]
    count = {spot: row.on_hand for spot, row in on_hand_at(place).items()}
    for _, spot, _, by in changes:
        count[spot] = count.get(spot, 0) - by
    found, gone = [], set()
    for at, spot, code, by in changes:
        before, count[spot] = count[spot], count[spot] + by
        if before > 0 >= count[spot]:
            gone.add(spot)
            found.append(Turn(code, spot[1], back=False, at=at))
        elif before <= 0 < count[spot] and spot in gone:
            found.append(Turn(code, spot[1], back=True, at=at))
    return tuple(found)
