"""What the home page shows: the facts of the day, the season's weekends, a few figures."""

import datetime
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, Sum

from vendor.counter.models import Sale, Unsettled
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.firings.models import Firing
from vendor.ledger.models import Balance, Place
from vendor.studio.next_thing import Facts, Thing, WeekendFacts, days_until, span, things
from vendor.supporters.models import Commitment
from vendor.ware.models import Ware

WEEK = datetime.timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Plank:
    """One weekend of the season strip; takings in minor units, height of the bar 0–100."""

    number: int
    days: str
    takings: int
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


def home(*, today: datetime.date, owner: bool) -> Home:
    """Return the home page as it stands on a day, in a fixed number of statements.

    A helper is told of the stall alone: no takings, no promises.
    """
    coming = Weekend.objects.coming(at=today).select_related("fair").first()
    facts = _facts(today, coming)
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
        planks=_planks(fair, coming) if fair and owner else [],
        figures=_figures(today, owner=owner),
    )


HELPERS_PAGES = ("counter:sell", "closing:weekend", "ledger:shelf")


def _facts(today: datetime.date, coming: Weekend | None) -> Facts:
    unclosed = (
        Weekend.objects.over(at=today)
        .filter(closing__isnull=True)
        .filter(Exists(Sale.objects.filter(weekend=OuterRef("pk"))))
        .select_related("fair")
        .last()
    )
    waiting = Firing.objects.filter(unloaded_at=None, fired_on__lte=today).order_by("fired_on")
    owed = Commitment.objects.filter(state__in=Commitment.OPEN).aggregate(
        overdue=Count("pk", filter=Q(due_on__lt=today)),
        due=Count("pk", filter=Q(due_on__gte=today, due_on__lt=today + WEEK)),
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
        lists_written=lists["written"],
        lists_loaded=lists["loaded"],
        open_lists=lists["written"] - lists["loaded"],
    )


def _weekend(weekend: Weekend | None) -> WeekendFacts | None:
    if weekend is None:
        return None
    return WeekendFacts(
        weekend.pk, weekend.number, weekend.fair.name, weekend.first_day, weekend.last_day
    )


def _planks(fair: Fair, coming: Weekend | None) -> list[Plank]:
    takings = dict(
        Sale.objects.filter(fair=fair, undoing__isnull=True)
        .order_by()
        .values_list("weekend_id")
        .annotate(sum=Sum("total"))
    )
    most = max(takings.values(), default=0)
    weekends = list(fair.weekends.all())
    sold = [takings[weekend.pk] for weekend in weekends if takings.get(weekend.pk)]
    usual = round(100 * sum(sold) / len(sold) / most) if sold else 60
    return [
        Plank(
            number=weekend.number,
            days=span(weekend.first_day, weekend.last_day),
            takings=takings.get(weekend.pk, 0),
            height=round(100 * takings[weekend.pk] / most) if takings.get(weekend.pk) else usual,
            is_guess=not takings.get(weekend.pk),
            is_coming=coming is not None and weekend.pk == coming.pk,
        )
        for weekend in weekends
    ]


def _figures(today: datetime.date, *, owner: bool) -> list[Figure]:
    free = Balance.objects.aggregate(
        shelf=Sum("on_hand", filter=Q(place__kind=Place.Kind.STUDIO), default=0)
        - Sum("held", filter=Q(place__kind=Place.Kind.STUDIO), default=0),
        stall=Sum("on_hand", filter=Q(place__kind=Place.Kind.STALL), default=0),
        held=Sum("held", default=0),
    )
    figures = [
        Figure("Free on the shelf", free["shelf"], "ledger:shelf"),
        Figure("On the stall", free["stall"], "ledger:shelf"),
    ]
    if owner:
        due = Commitment.objects.filter(state__in=Commitment.OPEN, due_on__lt=today + WEEK).count()
        figures += [
            Figure("Held for supporters", free["held"], "supporters:index"),
            Figure("Promises due this week", due, "supporters:index"),
        ]
    return figures
