"""Short ways to count one by one, in passes."""

from typing import Any

from tests.closing.makers import SUNDAY_NIGHT, Stall
from vendor.closing import actions
from vendor.closing.models import CountPass
from vendor.closing.scanning import Going, Scan, Taken
from vendor.house.models import User, new_key
from vendor.ware.models import Ware

FIRST, ELSEWHERE, AGAIN = (
    Going(f"the-{kind}-pass", kind, where)
    for kind, where in (("first", ""), ("elsewhere", "The back shelf"), ("again", ""))
)
HELPERS = Going("the-helper's-pass", "first")


def of(ware: Ware, **more: Any) -> Scan:
    """Return the scan of one piece, a first unless told otherwise."""
    return Scan(**({"key": new_key(), "ware_id": ware.pk, "grade": "first"} | more))


def scans(stall: Stall, *sent: Scan, going: Going = FIRST, who: User | None = None) -> Taken:
    """Send scans of a pass in one batch."""
    return actions.scan_pieces(
        weekend=stall.first, going=going, scans=sent, who=who or stall.owner, now=SUNDAY_NIGHT
    )


def ends(stall: Stall, taken: Taken, who: User | None = None) -> CountPass:
    """End the pass of a batch."""
    return actions.end_pass(
        weekend=stall.first, number=taken.in_pass.number, who=who or stall.owner, now=SUNDAY_NIGHT
    )


def total(stall: Stall, ware: Ware) -> int | None:
    """Return how many are counted of a ware, also while they are being counted."""
    line = stall.line(ware)
    return line.tally.counted if line and line.tally else None


def outcomes(taken: Taken) -> list[str]:
    """Return what became of each scan of a batch."""
    return [answer.outcome for answer in taken.answers]
