"""What a fair will still need of the shelf until its end: what is free beyond it may go online.

No table is read here; the page of the online bin is told the need in its address.
"""

from collections.abc import Iterable
from urllib.parse import urlencode

from vendor.fairs.models import Weekend
from vendor.restock.plans import Plan
from vendor.restock.quantities import quantity_for


def need_to_the_end(plan: Plan, weekends: Iterable[Weekend]) -> dict[int, int]:
    """Return by ware how many firsts the shelf keeps for the rest of the fair (pieces).

    So many that stall and shelf together last to the fair's last hour in `plan.level` seasons of a
    hundred, by what is known today. `weekends` may be those of all fairs.
    """
    later = [
        each
        for each in weekends
        if each.fair_id == plan.fair.pk and each.first_day > plan.weekend.last_day
    ]
    exposure = plan.to_come * plan.weekend.crowd_percent / 100
    exposure += sum(each.crowd_percent for each in later) / 100
    return {
        row.ware.pk: max(
            quantity_for(row.belief.predict(exposure), plan.level / 100) - row.standing.there, 0
        )
        for row in plan.rows
    }


def as_asked(plan: Plan, need: dict[int, int]) -> str:
    """Return the need as an address says it, of the ware that is free: need=12:3&need=14:0."""
    free = [row.ware.pk for row in plan.rows if row.standing.free]
    return urlencode([("need", f"{ware}:{need[ware]}") for ware in free], safe=":")
