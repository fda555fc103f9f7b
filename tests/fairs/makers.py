"""The invented fair that the tests of packing, selling and closing share."""

import datetime

from tests.factories import NOW, OwnerFactory, StudioFactory, TierFactory, shelf, stocked
from vendor.fairs import actions
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.house.models import User
from vendor.ledger.models import Balance, Place
from vendor.ware.models import Ware

FIRST_DAY = datetime.date(2026, 11, 21)
LOADED_AT = datetime.datetime.combine(
    FIRST_DAY - datetime.timedelta(days=1), datetime.time(17), NOW.tzinfo
)


def a_fair(owner: User | None = None, **terms: object) -> Fair:
    """Open the Oxmere Mill Winter Fair, with tax added at an invented rate."""
    StudioFactory()
    terms = {"tax_rate_ppm": 72_500, **terms}
    return actions.open_fair(
        name="Oxmere Mill Winter Fair",
        terms=actions.Terms(tier=TierFactory(), **terms),  # type: ignore[arg-type]
        who=owner or OwnerFactory(),
        now=NOW,
    )


def weekends_of(fair: Fair, owner: User, count: int = 5) -> list[Weekend]:
    """Plan its weekends: Saturdays and Sundays from 21 November 2026."""
    return actions.plan_weekends(fair=fair, first_day=FIRST_DAY, count=count, who=owner, now=NOW)


def at(place: Place, ware: Ware, grade: str = "first") -> int:
    """Return what stands of a ware and grade at a place."""
    row = Balance.objects.filter(place=place, ware=ware, grade=grade).first()
    return row.on_hand if row else 0


def packed(
    weekend: Weekend, lines: list[actions.Packed], owner: User, key: str = "list"
) -> PackingList:
    """Begin a packing list with lines."""
    made = actions.start_list(key=key, weekend=weekend, who=owner, now=LOADED_AT)
    return actions.pack(packing_list=made, lines=lines, who=owner, now=LOADED_AT)


def on_the_stall(
    weekend: Weekend,
    ware: Ware,
    quantity: int,
    owner: User,
    *,
    grade: str = "first",
    now: datetime.datetime = LOADED_AT,
) -> PackingList:
    """Make pieces, pack them and load the van."""
    key = f"{weekend.pk}-{ware.pk}-{grade}-{PackingList.objects.count()}"
    stocked(ware, quantity, at=shelf(), grade=grade, who=owner, key=f"opening-{key}")
    made = packed(weekend, [actions.Packed(ware.pk, quantity, grade)], owner, key=f"list-{key}")
    return actions.load_van(key=f"load-{key}", packing_list=made, who=owner, now=now)
