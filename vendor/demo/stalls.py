"""Runs the drawn season day by day: firings, promises, the van, the stall, the closing."""

import datetime
from collections.abc import Mapping
from typing import Any

from vendor.closing import cash_counting, closing, counting, takings
from vendor.closing import queries as closing_queries
from vendor.counter import actions as counter
from vendor.counter import cashbox
from vendor.counter.at import At
from vendor.counter.figures import Method
from vendor.counter.models import TillMovement
from vendor.counter.rung import Bill, Paid, Rung
from vendor.counter.till import FIRST_TILL
from vendor.demo import aside, boards, model, promised, season, tagged
from vendor.demo.hands import Hands
from vendor.fairs import planning, van
from vendor.fairs.models import Fair, Weekend
from vendor.firings import actions as firings
from vendor.firings import unloading
from vendor.firings.models import Batch
from vendor.ware.models import PriceTier

EVENING = datetime.time(18)
FRIDAY_NOON = datetime.time(12)
CLOSING_TIME = datetime.time(18, 30)


def run(
    drawn: season.Season, *, told: dict[str, Any], hands: Hands, now: datetime.datetime
) -> Fair:
    """Write the whole season, in the order in which it happened."""
    fair, weekends = _plan(drawn, told["fair"], hands)
    waiting = list(enumerate(drawn.firings, start=1))
    promises = promised.write_down(drawn.today, told=told["supporters"], hands=hands)
    for weekend, went in zip(weekends, drawn.weekends, strict=False):
        while waiting and (waiting[0][1].unloaded_on or now.date()) < went.saturday:
            number, fired = waiting.pop(0)
            fire(fired, number=number, hands=hands)
            promised.keep(promises, after=number, fired=fired, hands=hands)
            tagged.print_tags(fired, hands=hands)
        _sell_weekend(weekend, went, told["fair"]["float"], hands)
    on_the_way = boards.begin(drawn.today, hands)
    for number, fired in waiting:
        fire(fired, number=number, hands=hands, on_the_way=on_the_way)
        promised.keep(promises, after=number, fired=fired, hands=hands)
    boards.take_into_the_making(promises, on_the_way, hands, now)
    aside.set_aside(hands=hands, now=now)
    return fair


def fire(
    fired: season.Fired,
    *,
    number: int,
    hands: Hands,
    on_the_way: Mapping[str, Batch] | None = None,
) -> None:
    """Record one firing with the batches that it took, and count it out where it was unloaded.

    One that is still to be unloaded takes of what is on the way.
    """
    batches = boards.of_firing(number, fired, hands)
    if fired.unloaded_on is None:
        batches |= on_the_way or {}
    firing = firings.record_firing(
        key=f"demo-firing-{number}",
        facts=firings.Facts(
            kiln=hands.kilns[fired.kiln], kind="glaze", cone="6", fired_on=fired.fired_on, hours=36
        ),
        loads=[
            firings.Load(hands.ware[line.ware].pk, line.loaded, batch.pk if batch else None)
            for line in fired.lines
            for batch in [batches.get(line.ware.split("-")[0])]
        ],
        who=hands.owner,
        now=hands.at(fired.fired_on, EVENING),
    )
    if fired.unloaded_on is None:
        return
    rows = {line.ware_id: line.pk for line in firing.lines.all()}
    unloading.unload_firing(
        firing=firing,
        counts=[
            unloading.Count(rows[hands.ware[line.ware].pk], line.firsts, line.seconds, line.losses)
            for line in fired.lines
        ],
        who=hands.owner,
        now=hands.at(fired.unloaded_on, datetime.time(20)),
    )


def _plan(drawn: season.Season, told: dict[str, Any], hands: Hands) -> tuple[Fair, list[Weekend]]:
    terms = planning.Terms(
        tier=PriceTier.objects.get(is_base=True),
        tax_rate_ppm=told["tax_rate_ppm"],
        tax_included=told["tax_included"],
    )
    # Planned a week before the first weekend.
    planned = hands.at(drawn.weekends[0].saturday - datetime.timedelta(days=7), FRIDAY_NOON)
    fair = planning.open_fair(name=told["name"], terms=terms, who=hands.owner, now=planned)
    weekends = planning.plan_weekends(
        fair=fair,
        first_day=drawn.weekends[0].saturday,
        count=len(model.CROWD),
        opens=datetime.time.fromisoformat(told["opens"]),
        closes=datetime.time.fromisoformat(told["closes"]),
        crowd_percents=model.CROWD,
        who=hands.owner,
        now=planned,
    )
    return fair, weekends


def _sell_weekend(weekend: Weekend, went: season.Weekend, float_: int, hands: Hands) -> None:
    """Pack on the Friday, sell on Saturday and Sunday, count and close on Sunday evening."""
    friday = hands.at(went.saturday - datetime.timedelta(days=1), FRIDAY_NOON)
    packing = van.start_list(
        key=f"demo-list-{weekend.number}", weekend=weekend, who=hands.owner, now=friday
    )
    packed = [
        van.Packed(hands.ware[code].pk, quantity, grade, _tote(code))
        for (code, grade), quantity in went.packed.items()
    ]
    van.pack(packing_list=packing, lines=packed, who=hands.owner, now=friday)
    van.load_van(
        key=f"demo-van-{weekend.number}", packing_list=packing, who=hands.owner, now=friday
    )
    _till(weekend, "float", float_, "", hands.at(went.saturday, datetime.time(9, 30)), hands)
    for number, sold in enumerate(went.sales, start=1):
        wrongly = weekend.number == 1 and sold is _to_ring_wrongly(went)
        _ring_up(weekend, number, sold, hands, wrongly=wrongly)
    sunday = went.saturday + datetime.timedelta(days=1)
    _till(weekend, "paid_out", 640, "paper bags", hands.at(sunday, datetime.time(15)), hands)
    _close(weekend, went, hands, hands.at(sunday, CLOSING_TIME))


def _tote(code: str) -> str:
    """Return the box that a form travels in."""
    return code.split("-")[0]


def _till(
    weekend: Weekend, kind: str, amount: int, reason: str, now: datetime.datetime, hands: Hands
) -> None:
    cashbox.move_cash(
        key=f"demo-till-{weekend.number}-{kind}",
        weekend=weekend,
        kind=TillMovement.Kind(kind),
        amount=amount,
        reason=reason,
        who=hands.owner,
        now=now,
    )


def _to_ring_wrongly(went: season.Weekend) -> season.Sold:
    """Return the sale whose only piece is rung up as another of the same form."""
    held = model.WRONGLY_RUNG[0]
    return next(sold for sold in went.sales if sold.lines == [(held, "first", 1)])


def _ring_up(
    weekend: Weekend, number: int, sold: season.Sold, hands: Hands, *, wrongly: bool
) -> None:
    lines = [
        Rung(
            ware_id=hands.ware[model.WRONGLY_RUNG[1] if wrongly else code].pk,
            list_price=hands.price(code, grade),
            quantity=quantity,
            grade=grade,
        )
        for code, grade, quantity in sold.lines
    ]
    moment = sold.at.replace(tzinfo=None)
    at = hands.at(moment.date(), moment.time())
    counter.ring_up(
        key=f"demo-sale-{weekend.number}-{number}",
        bill=Bill(
            lines=lines, payments=[Paid(method=Method.CARD if sold.by_card else Method.CASH)]
        ),
        at=At(weekend=weekend, moment=at, device="demo"),
        who=hands.owner,
        now=at,
    )


def _close(weekend: Weekend, went: season.Weekend, hands: Hands, now: datetime.datetime) -> None:
    """Count what is really left, say why it differs, and close."""
    said = f"demo-close-{weekend.number}"
    for line in closing_queries.stall_lines(weekend):
        spot: dict[str, Any] = {
            "key": f"{said}-{line.ware.code}-{line.grade}",
            "weekend": weekend,
            "ware_id": line.ware.pk,
            "grade": line.grade,
            "who": hands.owner,
            "now": now,
        }
        counted = went.left.get((line.ware.code, line.grade), 0)
        counting.count_ware(counted=counted, saw=0, **spot)
        if counted != line.expected or line.pots.found:
            spot["key"] += "-why"
            counting.explain_ware(reason=model.WRONGLY_RUNG_REASON, **spot)
    expected = takings.till_sheet(weekend).till.expected
    short = model.SHORT if weekend.number == 2 else 0
    till: dict[str, Any] = {"weekend": weekend, "who": hands.owner, "now": now}
    cash_counting.count_cash(key=f"{said}-cash", counted=expected - short, saw=0, **till)
    if short:
        cash_counting.explain_cash(key=f"{said}-cash-why", reason=model.SHORT_REASON, **till)
    home = takings.till_sheet(weekend).box(FIRST_TILL)
    if home is not None and home.end.above_float:
        cash_counting.take_out(
            key=f"{said}-home", amount=home.end.above_float, reason="taken home", **till
        )
    closing.close_weekend(key=said, confirmed=True, **till)
