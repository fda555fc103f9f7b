"""What the home page shows: the facts of the day, the season's weekends, a few figures."""

import datetime
from dataclasses import dataclass, replace

from django.db.models import Count, Exists, OuterRef, Q, Sum

from vendor.counter.models import Sale, TakenBack, Unsettled
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.firings.models import Firing
from vendor.house import clock, written
from vendor.house.models import Studio
from vendor.labels.queries import tags_out_of_date
from vendor.ledger.models import Balance, Place
from vendor.restock.plans import Summary
from vendor.restock.queries import coming_summary
from vendor.studio.next_thing import Facts, Shortfall, Thing, WeekendFacts, days_until, things
from vendor.supporters.accounts import earners
from vendor.supporters.models import Commitment
from vendor.ware.models import Ware

WEEK = datetime.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Plank:
    """One weekend of the season strip; what it took, or may take, in words; its bar, 0–100."""

    number: int
    days: str
    said: str
    height: int
    is_guess: bool
    is_coming: bool


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its name and the page that tells more."""

    name: str
    value: int
    url_name: str


@dataclass(frozen=True, slots=True)
class Home:
    """Everything that the home page shows."""

    today: datetime.date
    when: str
    next: Thing
    others: list[Thing]
    fair: str
    planks: list[Plank]
    figures: list[Figure]


def home(*, now: datetime.datetime, studio: Studio, owner: bool) -> Home:
    """Return the home page as it stands on a day, in a fixed number of statements.

    A helper is told of the stall alone: no takings, no promises.
    """
    today = clock.day_of(now, studio)
    coming = Weekend.objects.coming(at=today).select_related("fair").first()
    ahead = coming_summary(now=now, studio=studio) if owner else None
    facts = _facts(today, coming, ahead, studio)
    if owner:
        facts = replace(facts, earners=earners(today))
    to_do = [thing for thing in things(facts) if owner or thing.url_name in HELPERS_PAGES]
    if not to_do:
        to_do = [Thing("Help at the stall", "Nothing waits for you.", "See stock", "ledger:shelf")]
    when = ""
    if coming is not None:
        when = f"weekend {coming.number} is {days_until(facts, coming.first_day)}"
    fair = coming.fair if coming else Fair.objects.first()
    return Home(
        today=today,
        when=when,
        next=to_do[0],
        others=to_do[1:],
        fair=fair.name if fair else "",
        planks=_planks(fair, coming, ahead, studio) if fair and owner else [],
        figures=_figures(today, owner=owner),
    )


HELPERS_PAGES = ("counter:sell", "closing:weekend", "ledger:shelf")


def _facts(
    today: datetime.date, coming: Weekend | None, ahead: Summary | None, studio: Studio
) -> Facts:
    unclosed = (
        Weekend.objects.over(at=today)
        .filter(closing__isnull=True)
        .filter(Exists(Sale.objects.filter(weekend=OuterRef("pk"))))
        .select_related("fair")
        .last()
    )
    waiting = Firing.objects.filter(unloaded_at=None, fired_on__lte=today).order_by("fired_on")
    owed = Commitment.objects.open().aggregate(
        overdue=Count("pk", filter=Q(due_on__lt=today)),
        due=Count("pk", filter=Q(due_on__gte=today, due_on__lt=today + WEEK)),
        unchosen=Count("pk", filter=Commitment.UNCHOSEN),
    )
    lists = PackingList.objects.filter(weekend=coming).aggregate(
        written=Count("pk"),
        loaded=Count("pk", filter=Q(loaded_at__isnull=False)),
    )
    first_waiting = waiting.first()
    return Facts(
        today=today,
        ware=Ware.objects.current().count(),
        fairs=Fair.objects.count(),
        coming=_weekend(coming),
        unclosed=_weekend(unclosed),
        waiting_firing=(first_waiting.pk, first_waiting.number) if first_waiting else None,
        unsettled_sales=Unsettled.objects.filter(settled_at=None).count(),
        overdue_promises=owed["overdue"],
        promises_due=owed["due"],
        choices_missing=owed["unchosen"],
        lists_written=lists["written"],
        lists_loaded=lists["loaded"],
        open_lists=lists["written"] - lists["loaded"],
        shortfall=_shortfall(ahead),
        tags_out_of_date=tags_out_of_date(on=today, studio=studio),
    )


def _shortfall(ahead: Summary | None) -> Shortfall | None:
    if ahead is None or ahead.worst is None:
        return None
    worst = ahead.worst
    return Shortfall(ware=worst.ware.name, pieces=worst.pieces, why=worst.why)


def _weekend(weekend: Weekend | None) -> WeekendFacts | None:
    if weekend is None:
        return None
    return WeekendFacts(
        weekend.pk,
        weekend.number,
        weekend.fair.name,
        weekend.first_day,
        weekend.last_day,
        weekend.span,
    )


def _planks(
    fair: Fair, coming: Weekend | None, ahead: Summary | None, studio: Studio
) -> list[Plank]:
    """Return the fair's weekends: what each took, or what it may take if it goes as expected."""
    taken = _takings(fair)
    guessed = {ahead.weekend.pk: ahead.takings, **ahead.later} if ahead else {}
    weekends = list(fair.weekends.all())
    worth = {each.pk: taken.get(each.pk) or guessed.get(each.pk, 0) for each in weekends}
    most = max(worth.values(), default=0) or 1
    return [
        Plank(
            number=each.number,
            days=each.span,
            said=_said(each, taken.get(each.pk), ahead, studio),
            height=round(100 * worth[each.pk] / most),
            is_guess=not taken.get(each.pk),
            is_coming=coming is not None and each.pk == coming.pk,
        )
        for each in weekends
    ]


def _said(weekend: Weekend, taken: int | None, ahead: Summary | None, studio: Studio) -> str:
    if taken:
        return written.whole_money(taken, studio)
    return f"about {ahead.about}" if ahead and weekend.pk == ahead.weekend.pk else ""


def _takings(fair: Fair) -> dict[int, int]:
    """Return by weekend what was sold there, less what came back (minor units, two statements)."""
    sold = Sale.objects.filter(fair=fair, undoing__isnull=True).order_by()
    taken = dict(sold.values_list("weekend_id").annotate(sum=Sum("total")))
    back = TakenBack.objects.filter(sale__fair=fair).order_by()
    for weekend_id, total in back.values_list("weekend_id").annotate(sum=Sum("total")):
        taken[weekend_id] = taken.get(weekend_id, 0) - total
    return taken


def _figures(today: datetime.date, *, owner: bool) -> list[Figure]:
    free = Balance.objects.aggregate(
        shelf=Sum("on_hand", filter=Q(place__kind=Place.Kind.STUDIO), default=0)
        - Sum("held", filter=Q(place__kind=Place.Kind.STUDIO), default=0),
        stall=Sum("on_hand", filter=Q(place__kind=Place.Kind.STALL), default=0),
    )
    figures = [
        Figure("Free on the shelf", free["shelf"], "ledger:shelf"),
        Figure("On the stall", free["stall"], "ledger:shelf"),
    ]
    if owner:
        promised = Commitment.objects.open().aggregate(
            held=Count("pk", filter=Q(state__in=Commitment.WITH_A_PIECE)),
            due=Count("pk", filter=Q(due_on__lt=today + WEEK)),
        )
        figures += [
            Figure("Held for supporters", promised["held"], "supporters:index"),
            Figure("Promises due this week", promised["due"], "supporters:index"),
        ]
    return figures
