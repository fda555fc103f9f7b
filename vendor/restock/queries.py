"""What to bring to the coming weekend: a fixed number of statements, however much was sold.

Only firsts that are made again and again are reckoned (see `reading`); seconds and ware that is
one of a kind are told as a count, for nobody can say what they will sell.
"""

import datetime
from collections.abc import Iterable, Mapping, Sequence

from django.db.models import Q

from vendor.fairs.models import Fair, PackingLine, Weekend
from vendor.house.models import Studio
from vendor.ledger.models import Balance, Place
from vendor.restock import reading, telling
from vendor.restock.loading import plan_load
from vendor.restock.plans import Aside, Listed, Offer, Plan, Standing, Summary, with_tax
from vendor.restock.presence import Stint
from vendor.restock.room import Room
from vendor.ware.models import Grade, Ware
from vendor.ware.pricing import PriceBook
from vendor.ware.queries import price_book


def fairs_ahead(
    weekends: Iterable[Weekend], *, now: datetime.datetime, studio: Studio
) -> list[Weekend]:
    """Return of each fair the weekend that is on or comes next, the nearest first.

    One that is closed for good before its last hour is over.
    """
    at = reading.on_the_clock(now, studio)
    found: dict[int, Weekend] = {}
    for weekend in weekends:
        if reading.selling(weekend).closes > at and not weekend.is_closed:
            found.setdefault(weekend.fair_id, weekend)
    return sorted(found.values(), key=lambda each: each.first_day)


def plan(
    weekend: Weekend,
    *,
    weekends: Sequence[Weekend],
    level: int,
    room: Room,
    now: datetime.datetime,
    studio: Studio,
) -> Plan:
    """Say what to bring to a weekend, so that a ware lasts in `level` weekends of a hundred.

    `weekends` are all of all fairs (`reading.all_weekends`); eight statements on top of theirs.
    """
    at = reading.on_the_clock(now, studio)
    fair = weekend.fair
    told = reading.past(weekends, now=now, studio=studio)
    to_come = told.rhythms[fair.pk].left(reading.selling(weekend), at)
    stints = told.by_fair.get(fair.pk, {})
    standing, aside = _standing(fair)
    ware = _ware(stints, standing)
    season = told.season(fair.pk, [each.pk for each in ware])
    prices = price_book(on=max(weekend.first_day, at.date()), studio=studio)
    exposure = weekend.crowd_percent / 100 * to_come
    offers = [
        Offer(
            ware=each, estimate=season.estimates[each.pk], exposure=exposure,
            standing=standing.get(each.pk, Standing()), price=_price(prices, each, fair),
        )
        for each in ware
    ]  # fmt: skip
    load = plan_load([each.candidate(level, room) for each in offers], room=room.whole)
    lines = {line.ware: line for line in load.lines}
    begun = _begun(weekends, fair, at)
    numbers = [each.number for each in begun]
    rows = [
        offer.row(lines[offer.ware.pk], stints.get(offer.ware.pk, {}), numbers, studio)
        for offer in offers
    ]
    return Plan(
        fair=fair, weekend=weekend, past=begun, to_come=to_come, rows=rows, load=load, room=room,
        level=level, aside=aside, listed=_listed(weekend),
    )  # fmt: skip


def _begun(weekends: Iterable[Weekend], fair: Fair, at: datetime.datetime) -> list[Weekend]:
    """Return the weekends of a fair that are on or over, in their order."""
    return [
        each for each in weekends if each.fair_id == fair.pk and reading.selling(each).opens < at
    ]


def coming_summary(*, now: datetime.datetime, studio: Studio) -> Summary | None:
    """Return the nearest weekend in a few words at the studio's own level; None without one.

    Ten statements, whatever was sold.
    """
    weekends = reading.all_weekends()
    ahead = fairs_ahead(weekends, now=now, studio=studio)
    if not ahead:
        return None
    level = studio.service_level_percent
    found = plan(ahead[0], weekends=weekends, level=level, room=Room(), now=now, studio=studio)
    ordinary = sum(row.rate * row.price for row in found.rows)
    return Summary(
        weekend=found.weekend,
        takings=found.takings,
        about=telling.about(found.takings, studio),
        later={
            each.pk: with_tax(ordinary * each.crowd_percent / 100, found.fair)
            for each in weekends
            if each.fair_id == found.fair.pk and each.first_day > found.weekend.last_day
        },
        bring=found.bring,
        short=found.short,
        worst=found.worst,
    )


def _ware(
    stints: Mapping[int, Mapping[int, Stint]], standing: Mapping[int, Standing]
) -> list[Ware]:
    """Return the ware to speak of: what was ever at this fair, or stands somewhere (1 statement).

    What is not made any more is spoken of only as long as there is a piece of it.
    """
    there = [ware for ware, each in standing.items() if each.any]
    kept = Q(pk__in=there) | Q(
        pk__in=list(stints), retired=False, form__retired=False, finish__retired=False
    )
    return list(Ware.objects.named().filter(kept, one_of_a_kind=False))


def _standing(fair: Fair) -> tuple[dict[int, Standing], Aside]:
    """Return what stands on the shelf and at the fair's stall by ware (one statement)."""
    rows = (
        Balance.objects.filter(Q(place__kind=Place.Kind.STUDIO) | Q(place_id=fair.stall_id))
        .filter(on_hand__gt=0)
        .values_list("ware_id", "ware__one_of_a_kind", "grade", "place_id", "on_hand", "held")
    )
    spots: dict[int, dict[str, int]] = {}
    seconds = single = 0
    for ware, one_of_a_kind, grade, place, on_hand, held in rows:
        there = place == fair.stall_id
        if grade == Grade.SECOND:
            seconds += 0 if there else on_hand - held
        elif one_of_a_kind:
            single += 0 if there else on_hand - held
        else:
            names = ("there", "there_held") if there else ("free", "held")
            spots.setdefault(ware, {}).update(zip(names, (on_hand - held, held), strict=True))
    return {ware: Standing(**each) for ware, each in spots.items()}, Aside(seconds, single)


def _price(prices: PriceBook, ware: Ware, fair: Fair) -> int:
    found = prices.find(ware.pk, ware.form_id, fair.tier_id)
    return found.amount if found is not None else 0


def _listed(weekend: Weekend) -> Listed:
    """Return what the weekend's open packing list holds, the first of them (one statement)."""
    lines = (
        PackingLine.objects.filter(
            packing_list__weekend=weekend, packing_list__loaded_at__isnull=True
        )
        .order_by("packing_list_id")
        .values_list("packing_list_id", "ware_id", "grade", "quantity")
    )
    found = Listed()
    pieces: dict[int, int] = {}
    for packing_list, ware, grade, quantity in lines:
        if found.packing_list is None:
            found = Listed(packing_list, pieces)
        if packing_list == found.packing_list and grade == Grade.FIRST:
            pieces[ware] = pieces.get(ware, 0) + quantity
    return found
