"""Reads what came into and went out of a weekend's cash boxes, and lays it from count to count.

Named reads in a fixed number of statements. Nothing here writes.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.db.models import QuerySet, Sum

from vendor.closing.equation import Till
from vendor.closing.models import CarriedCash, CashCount, Closing
from vendor.closing.tills import Box, Carried, Day, Stretch, Taken, TillSheet
from vendor.counter.models import Deposit, Payment, TakenBack, TillMovement
from vendor.counter.till import name_of, names_of
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.models import Studio
from vendor.house.studio import the_studio


def till_sheet(weekend: Weekend) -> TillSheet:
    """Return the money of a weekend and the counts of its boxes (seven statements).

    A sale that was undone brought nothing; what was taken back is a refund.
    """
    names, counts, studio = names_of(weekend), latest_counts(weekend), the_studio()
    cash, others = _taken(weekend)
    moved = list(TillMovement.objects.filter(weekend=weekend))
    seen = {till for till, _ in cash} | {each.till for each in moved} | {till for till, _ in counts}
    boxes = [
        _box(
            number,
            name_of(number, names),
            {day: taken for (till, day), taken in cash.items() if till == number},
            [(_day_of(each, studio), each) for each in moved if each.till == number],
            {day: count for (till, day), count in counts.items() if till == number},
            weekend,
            is_used=number in seen,
        )
        for number in sorted(seen | names.keys())
    ]
    return TillSheet(
        tuple(boxes),
        others.get(Payment.Method.CARD, Taken()),
        others.get(Payment.Method.OTHER, Taken()),
    )


def carried(weekend: Weekend, sheet: TillSheet) -> Carried | None:
    """Return how a weekend's floats follow on the statement before, None after none (three).

    A float with a reason of its own explains itself.
    """
    before = (
        Closing.objects.filter(weekend__fair_id=weekend.fair_id, last_day__lt=weekend.first_day)
        .annotate(amended=Sum("amendments__cash"))
        .order_by("-last_day")
        .first()
    )
    if before is None:
        return None
    left = before.cash_left + (before.amended or 0)
    between = Carried(before.number, left, sheet.till.cash_float)
    if not between.difference:
        return between
    said = CarriedCash.objects.filter(weekend=weekend).order_by("-id").first()
    if said is not None and said.difference == between.difference:
        return replace(between, reason=said.reason)
    floats = TillMovement.objects.filter(weekend=weekend, kind=TillMovement.Kind.FLOAT)
    reasons = [reason for reason in floats.values_list("reason", flat=True) if reason]
    return replace(between, reason="; ".join(reasons)[:200])


def latest_counts(weekend: Weekend) -> dict[tuple[int, Day | None], CashCount]:
    """Return the count that holds of each cash box and night (one statement)."""
    rows = CashCount.objects.filter(weekend=weekend).select_related("made_by").order_by("version")
    return {(row.till, row.day): row for row in rows}


def nights_of(weekend: Weekend) -> list[Day]:
    """Return the selling days whose nights come before the weekend's end (one statement)."""
    days = weekend.days.filter(day__lt=weekend.last_day).order_by("day")
    return list(days.values_list("day", flat=True))


def _box(
    number: int,
    name: str,
    cash: Mapping[Day, Taken],
    moved: Sequence[tuple[Day, TillMovement]],
    counts: Mapping[Day | None, CashCount],
    weekend: Weekend,
    *,
    is_used: bool,
) -> Box:
    """Lay what came and went into its stretches, each beginning with what the one before left."""
    nights = sorted(day for day in counts if day is not None)
    flows: dict[Day | None, Till] = defaultdict(Till)
    for day, taken in cash.items():
        flows[_night(day, nights)] += Till(
            sales=taken.sales,
            tips=taken.tips,
            refunds=taken.refunds,
            deposits=taken.deposits,
            deposits_back=taken.deposits_back,
        )
    after: dict[Day | None, Till] = defaultdict(Till)
    for day, each in moved:
        night = _night(day, nights)
        ends = each.after_count and (night == day or day >= weekend.last_day)
        (after if ends else flows)[night] += _moved(each)
    cash_float = sum(each.cash_float for each in flows.values())
    stretches: list[Stretch] = []
    for night in [*nights, None]:
        opening = stretches[-1].left if stretches else 0
        stretches.append(
            Stretch(
                number, name, night, replace(flows[night], opening=opening), counts.get(night),
                cash_float, after[night].paid_out, after[night].paid_in,
            )
        )  # fmt: skip
    has_float = any(each.kind == TillMovement.Kind.FLOAT for _, each in moved)
    return Box(number, name, tuple(stretches), has_float, is_used)


def _night(day: Day, nights: list[Day]) -> Day | None:
    """Return the first counted night that a day comes before or is, None past them all."""
    return next((night for night in nights if day <= night), None)


def _day_of(each: TillMovement, studio: Studio) -> Day:
    return each.day or clock.day_of(each.made_at, studio)


def _moved(each: TillMovement) -> Till:
    kinds = TillMovement.Kind
    name = {
        kinds.FLOAT.value: "cash_float", kinds.PAID_IN.value: "paid_in",
        kinds.PAID_OUT.value: "paid_out",
    }[each.kind]  # fmt: skip
    return Till(**{name: each.amount})


def _taken(weekend: Weekend) -> tuple[dict[tuple[int, Day], Taken], dict[str, Taken]]:
    """Return what cash brought by box and day, and what each other way did (three statements)."""
    cash: dict[tuple[int, Day], Taken] = defaultdict(Taken)
    others: dict[str, Taken] = defaultdict(Taken)

    def add(till: int, day: Day, method: str, taken: Taken) -> None:
        if method == Payment.Method.CASH:
            cash[till, day] += taken
        else:
            others[method] += taken

    paid: QuerySet[Payment] = Payment.objects.filter(
        sale__weekend=weekend, sale__undoing__isnull=True
    )
    for till, day, method, amount, tips in (
        paid.order_by()
        .values_list("sale__till", "sale__day", "method")
        .annotate(amounts=Sum("amount"), tips=Sum("tip"))
    ):
        add(till, day, method, Taken(amount or 0, tips or 0))
    for till, day, method, total, rounding, set_off in (
        TakenBack.objects.filter(weekend=weekend)
        .order_by()
        .values_list("till", "day", "method")
        .annotate(sum=Sum("total"), rounding=Sum("cash_rounding"), set_offs=Sum("set_off"))
    ):
        add(till, day, method, Taken(refunds=total + rounding - set_off))
    for till, day, method, kind, amount in (
        Deposit.objects.filter(weekend=weekend)
        .exclude(kind=Deposit.Kind.KEPT)
        .order_by()
        .values_list("till", "day", "method", "kind")
        .annotate(sum=Sum("amount"))
    ):
        back = kind == Deposit.Kind.PAID_BACK
        add(till, day, method, Taken(**{"deposits_back" if back else "deposits": amount}))
    return cash, others
