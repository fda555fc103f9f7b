"""Opening fairs and planning their weekends; `actions` names these verbs to the other parts."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import ProtectedError, Q

from vendor.fairs.errors import WeekendClosed, WeekendsOverlap
from vendor.fairs.models import Fair, SellingDay, Weekend
from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import Studio, User
from vendor.house.turns import take_turn
from vendor.ledger import actions as ledger
from vendor.ledger.models import Movement, Place
from vendor.ware.models import PriceTier

WEEK = datetime.timedelta(days=7)
MOST_WEEKENDS = 60
OPENS, CLOSES = datetime.time(10), datetime.time(17)


@dataclass(frozen=True, slots=True)
class Terms:
    """What holds at a fair: its price list, its tax (parts per million) and its cash."""

    tier: PriceTier
    tax_rate_ppm: int = 0
    tax_included: bool = False
    tax_rounding: str = Studio.Rounding.RECEIPT
    cash_step: int = 1


@dataclass(frozen=True, slots=True)
class OpenDay:
    """A day on which the stall is open, from when to when (the studio's clock)."""

    day: datetime.date
    opens: datetime.time = OPENS
    closes: datetime.time = CLOSES


def open_fair(
    *, name: str, terms: Terms, note: str = "", who: User, now: datetime.datetime
) -> Fair:
    """Make a fair and its stall; the same name with the same terms again answers the first one.

    Refuses a name that another fair has. `who` has to be the owner.
    """
    _owner(who)
    name = " ".join(name.split())
    with transaction.atomic():
        take_turn()
        before = Fair.objects.select_related("tier", "stall").filter(name=name).first()
        if before is not None:
            if terms_of(before) == terms:
                return before
            raise Refused(f"There is a fair called {name} already. Nothing was saved: change it.")
        fair = Fair(name=name, note=note.strip(), **_fields(terms))
        fair.full_clean(exclude=["stall"])
        fair.stall = ledger.open_place(
            name=f"{name} stall", kind=Place.Kind.STALL, who=who, now=now
        )
        changes.keep(fair, who=who, now=now)
    return fair


def change_fair(
    *, fair: Fair, name: str, terms: Terms, note: str, who: User, now: datetime.datetime
) -> Fair:
    """Change a fair; sales that were taken keep the terms they were taken on."""
    _owner(who)
    with transaction.atomic():
        take_turn()
        fair.name, fair.note = " ".join(name.split()), note.strip()
        for field, value in _fields(terms).items():
            setattr(fair, field, value)
        fair.full_clean()
        changes.keep(fair, who=who, now=now)
    return fair


def terms_of(fair: Fair) -> Terms:
    """Return the terms of a fair."""
    return Terms(fair.tier, fair.tax_rate_ppm, fair.tax_included, fair.tax_rounding, fair.cash_step)


def plan_weekends(
    *,
    fair: Fair,
    first_day: datetime.date,
    count: int,
    days: int = 2,
    opens: datetime.time = OPENS,
    closes: datetime.time = CLOSES,
    crowd_percents: Sequence[int] = (),
    who: User,
    now: datetime.datetime,
) -> list[Weekend]:
    """Plan so many weekends of so many days, a week apart, all with the same hours.

    `crowd_percents` is by weekend; what it leaves out is 100. Planned again with the same days,
    they stay as they are. Refuses to share a day with another weekend of the fair, and days
    that are closed.
    """
    _owner(who)
    if not 1 <= count <= MOST_WEEKENDS or not 1 <= days <= WEEK.days:
        raise Refused(
            f"Between 1 and {MOST_WEEKENDS} weekends of 1 to 7 days can be planned at once. "
            "Nothing was saved."
        )
    last_day = first_day + datetime.timedelta(days=days - 1)
    spans = [(first_day + week * WEEK, last_day + week * WEEK) for week in range(count)]
    with transaction.atomic():
        take_turn()
        weekends = {(each.first_day, each.last_day): each for each in fair.weekends.all()}
        if all(span in weekends for span in spans):
            return [weekends[span] for span in spans]
        _refuse_overlap(fair, spans, others=weekends.values())
        number = max((each.number for each in weekends.values()), default=0)
        planned = []
        for week, (first, last) in enumerate(spans):
            crowd = crowd_percents[week] if week < len(crowd_percents) else 100
            weekend = Weekend(
                fair=fair, number=number + week + 1, first_day=first, last_day=last,
                crowd_percent=crowd,
            )  # fmt: skip
            planned.append(_write_weekend(weekend, opens, closes, who, now))
    return planned


def _write_weekend(
    weekend: Weekend,
    opens: datetime.time,
    closes: datetime.time,
    who: User,
    now: datetime.datetime,
) -> Weekend:
    """Save a new weekend with all its days, at the same hours."""
    weekend.full_clean()
    count = (weekend.last_day - weekend.first_day).days + 1
    open_days = [weekend.first_day + datetime.timedelta(days=offset) for offset in range(count)]
    days = [OpenDay(day, opens, closes) for day in open_days]
    changes.keep(weekend, who=who, now=now, more=_days_changed([], days))
    _write_days(weekend, days)
    return weekend


def _refuse_overlap(
    fair: Fair,
    spans: Sequence[tuple[datetime.date, datetime.date]],
    *,
    others: Iterable[Weekend],
) -> None:
    """Refuse spans of days that meet another weekend of the fair, or days that are closed."""
    closed_through = Place.objects.get(pk=fair.stall_id).closed_through
    for first, last in spans:
        if closed_through is not None and first <= closed_through:
            raise WeekendClosed(
                f"The stall of {fair} is closed up to {closed_through}, and a weekend from {first} "
                "would begin before. Nothing was saved."
            )
        for other in others:
            if first <= other.last_day and other.first_day <= last:
                raise WeekendsOverlap(
                    f"A weekend from {first} to {last} would share a day with weekend "
                    f"{other.number} ({other.first_day} to {other.last_day}). Nothing was saved."
                )


def change_weekend(
    *,
    weekend: Weekend,
    days: Sequence[OpenDay],
    crowd_percent: int,
    who: User,
    now: datetime.datetime,
) -> Weekend:
    """Change the days, hours and crowd of a weekend.

    Refuses a closed weekend, no day at all, a day twice, a day shared with another weekend, and
    to leave out a day on which ware came to or went from the stall.
    """
    _owner(who)
    if not days or len({each.day for each in days}) < len(days):
        raise Refused("A weekend needs at least one day, and each only once. Nothing was saved.")
    with transaction.atomic():
        take_turn()
        fresh = Weekend.objects.select_related("fair__stall").get(pk=weekend.pk)
        refuse_closed(fresh)
        first, last = min(each.day for each in days), max(each.day for each in days)
        _refuse_overlap(
            fresh.fair, [(first, last)], others=fresh.fair.weekends.exclude(pk=fresh.pk)
        )
        _refuse_to_strand(fresh, first, last)
        fresh.first_day, fresh.last_day, fresh.crowd_percent = first, last, crowd_percent
        fresh.full_clean()
        before = [OpenDay(each.day, each.opens, each.closes) for each in fresh.days.all()]
        moved = _days_changed(before, days)
        changes.keep(fresh, who=who, now=now, more=moved)
        if moved:
            fresh.days.all().delete()
            _write_days(fresh, days)
    return fresh


def drop_weekend(*, weekend: Weekend, who: User, now: datetime.datetime) -> None:
    """Take a weekend off the plan; refused once anything hangs on it."""
    _owner(who)
    with transaction.atomic():
        take_turn()
        fresh = Weekend.objects.select_related("fair__stall").get(pk=weekend.pk)
        refuse_closed(fresh)
        try:
            changes.take_away(fresh, who=who, now=now)
        except ProtectedError:
            raise Refused(
                f"{fresh} has packing lists, sales or counts, so it stays. Nothing was changed."
            ) from None


def refuse_closed(weekend: Weekend) -> None:
    """Refuse a weekend whose stall is closed up to its end."""
    fresh = Weekend.objects.select_related("fair__stall").get(pk=weekend.pk)
    if fresh.is_closed:
        raise WeekendClosed(
            f"{fresh} is closed, so nothing in it changes any more. Nothing was saved: "
            "enter it under the coming weekend, with a note of what it belongs to."
        )


def _owner(who: User) -> None:
    if not who.is_owner:
        raise Refused("Fairs and weekends are planned by the owner. Nothing was saved.")


def _fields(terms: Terms) -> dict[str, object]:
    return {
        "tier": terms.tier,
        "tax_rate_ppm": terms.tax_rate_ppm,
        "tax_included": terms.tax_included,
        "tax_rounding": terms.tax_rounding,
        "cash_step": terms.cash_step,
    }


def _days_changed(before: Iterable[OpenDay], after: Iterable[OpenDay]) -> list[changes.Difference]:
    """Return which selling days became others, with their hours in words."""
    was = {each.day: f"{each.opens:%H:%M}–{each.closes:%H:%M}" for each in before}
    becomes = {each.day: f"{each.opens:%H:%M}–{each.closes:%H:%M}" for each in after}
    return [
        (day.isoformat(), was.get(day, ""), becomes.get(day, ""))
        for day in sorted({*was, *becomes})
        if was.get(day) != becomes.get(day)
    ]


def _write_days(weekend: Weekend, days: Iterable[OpenDay]) -> None:
    for each in days:
        day = SellingDay(weekend=weekend, day=each.day, opens=each.opens, closes=each.closes)
        day.full_clean()
        day.save()


def _refuse_to_strand(weekend: Weekend, first: datetime.date, last: datetime.date) -> None:
    """Refuse to leave out a day of the weekend on which the stall's ware moved."""
    at_stall = Q(source=weekend.fair.stall) | Q(target=weekend.fair.stall)
    stranded = (
        Movement.objects.filter(at_stall)
        .filter(entry__day__range=(weekend.first_day, weekend.last_day))
        .exclude(entry__day__range=(first, last))
        .values_list("entry__day", flat=True)
        .first()
    )
    if stranded is not None:
        raise Refused(
            f"Ware came to or went from the stall on {stranded}, so that day stays in {weekend}. "
            "Nothing was saved."
        )
