"""The statements held against the ledger: every one still says what the movements add up to."""

from collections.abc import Iterator

from vendor.closing.models import Closing
from vendor.ledger.audit import Drift
from vendor.ledger.queries import Flow, flows


def audit_statements() -> list[Drift]:
    """Return every line of a statement that differs from the ledger; [] is clean.

    For each ware and grade: what it opened with, and what it left standing, after what was
    corrected and taken home. Two statements for each closing.
    """
    closings = Closing.objects.select_related("weekend__fair__stall").prefetch_related("lines")
    return [drift for closing in closings.order_by("number") for drift in _drifts(closing)]


def _drifts(closing: Closing) -> Iterator[Drift]:
    found = flows(closing.weekend.fair.stall, after=closing.after, through=closing.last_day)
    lines = {(line.ware_id, line.grade): line for line in closing.lines.all()}
    for spot in sorted(found.keys() | lines.keys()):
        flow, line = found.get(spot) or Flow(0, {}, {}), lines.get(spot)
        what = f"{closing}, {line.name if line else f'ware {spot[0]}, {spot[1]}'}"
        opening, left = (line.opening, line.left) if line else (0, 0)
        if opening != flow.opening:
            yield Drift("opening of a statement", what, opening, flow.opening)
        if left != flow.recorded:
            yield Drift("left by a statement", what, left, flow.recorded)
