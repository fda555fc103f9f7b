"""The page that says what to bring, and puts it on the packing list. The owner's alone."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from vendor.fairs import actions as fairs
from vendor.fairs.models import Weekend
from vendor.house import clock, listing, season
from vendor.house.access import owner_page
from vendor.house.errors import Refused
from vendor.house.listing import Choice, Empty
from vendor.house.models import new_key
from vendor.house.studio import studio_of, who_is
from vendor.restock import ahead as coming
from vendor.restock import beyond, evidence, queries, reading, telling
from vendor.restock.forms import AskForm, BringForm, bring_form
from vendor.restock.plans import LIKELY, Plan, Row
from vendor.restock.tables import MakeTable, RestockTable, restock_table

NO_WEEKEND = Empty(
    "No weekend ahead",
    "What to bring is worked out for the coming weekend of a fair. Plan it first: its days, its "
    "hours, and how busy it should be.",
    "Plan the fair",
    "fairs:index",
)
NO_WARE = Empty(
    "Nothing to bring yet",
    "No ware is on the shelf or the stall, and none was ever sold here. Count out a firing, or "
    "enter what you have.",
    "Count out a firing",
    "firings:index",
)
NOTHING_SHORT = Empty(
    "Nothing will run short",
    "Shelf and stall last to the end of the fair, by what is known today.",
)
WAYS = {
    "glaze": ("To glaze and fire", lambda row: row.glaze > 0),
    "bisque": ("To bisque fire", lambda row: row.bisque > 0),
    "throw": ("To throw", lambda row: row.throw > 0),
    "late": ("Too late", lambda row: row.late > 0),
}
STANDING = {
    "short": ("Short", lambda row: row.short > 0),
    "bring": ("To bring", lambda row: row.bring > 0),
    "out": ("Sold out before", lambda row: any(each.sold_out_at for each in row.stints.values())),
}


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show what to bring to the coming weekend of the fair that is asked for, or of the nearest."""
    studio, ask = studio_of(request), AskForm(request.GET, studio=studio_of(request))
    plan, ahead, weekends = _plan(request, ask)
    if plan is None:
        rows: list[Row] = []
        found = listing.lay_out(request, RestockTable, rows, file_name="restock", empty=NO_WEEKEND)
        return found.answer("restock/index.html")
    found = listing.lay_out(
        request,
        restock_table(plan.past, _asked(plan, ask)),
        plan.rows,
        file_name="what-to-bring",
        search=("name", "ware__code", "why"),
        filters=(
            Choice("form", "Form", field="ware__form__name"),
            Choice("finish", "Finish", field="ware__finish__name"),
            Choice("standing", "Only", options=STANDING),
        ),
        empty=NO_WARE,
    )
    return found.answer(
        "restock/index.html",
        plan=plan,
        ahead=ahead,
        ask=ask,
        form=bring_form(plan, new_key()) if plan.to_list else None,
        packing=_address(plan.listed.packing_list, request),
        about=telling.about(plan.takings, studio),
        online=_online(plan, weekends, request),
        make=f"{reverse('restock:make')}?{_asked(plan, ask)}",
    )


@owner_page
def make(request: HttpRequest) -> HttpResponse:
    """Show what to glaze, fire and throw for the rest of the fair, and by which day."""
    studio, ask = studio_of(request), AskForm(request.GET, studio=studio_of(request))
    plan, _, weekends = _plan(request, ask)
    if plan is None:
        return listing.lay_out(
            request, MakeTable, [], file_name="what-to-make", empty=NO_WEEKEND
        ).answer("restock/make.html")
    today = clock.day_of(clock.now(), studio)
    rows, pace = coming.to_make(plan, weekends, today=today, studio=studio)
    found = listing.lay_out(
        request,
        MakeTable,
        rows,
        file_name="what-to-make",
        search=("name", "ware__code", "how"),
        filters=(
            Choice("form", "Form", field="ware__form__name"),
            Choice("way", "Only", options=WAYS),
        ),
        empty=NOTHING_SHORT,
    )
    return found.answer(
        "restock/make.html",
        plan=plan,
        pace=pace,
        ways=coming.totals(rows),
        back=f"{reverse('restock:index')}?{_asked(plan, ask)}",
    )


@owner_page
def ware(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what stands behind one ware's numbers in the plan as it is asked for."""
    studio, ask = studio_of(request), AskForm(request.GET, studio=studio_of(request))
    plan, _, _ = _plan(request, ask)
    row = next((each for each in plan.rows if each.ware.pk == pk), None) if plan else None
    if plan is None or row is None:
        raise Http404
    low, high = row.belief.interval(LIKELY)
    context = {
        "plan": plan,
        "row": row,
        "rate": f"{row.rate:.1f}",
        "rates": f"{low:.1f} to {high:.1f}",
        "expected": f"{row.expected:.1f}",
        "seen": evidence.seen(row, plan, studio),
        "chances": evidence.chances(row),
        "outlook": evidence.on_average(row),
        "spare": 100 - plan.level,
        "back": f"{reverse('restock:index')}?{_asked(plan, ask)}",
    }
    return render(request, "restock/ware.html", context)


def _plan(request: HttpRequest, ask: AskForm) -> tuple[Plan | None, list[Weekend], list[Weekend]]:
    """Return the plan that is asked for (if any), each fair's weekend ahead, and all weekends."""
    studio, now = studio_of(request), clock.now()
    weekends = reading.all_weekends()
    ahead = queries.fairs_ahead(weekends, now=now, studio=studio)
    if not ahead:
        return None, ahead, weekends
    fair = request.GET.get("fair", "")
    weekend = next((each for each in ahead if str(each.fair_id) == fair), ahead[0])
    plan = queries.plan(
        weekend,
        weekends=weekends,
        level=ask.level_asked,
        room=ask.room_asked,
        now=now,
        studio=studio,
    )
    return plan, ahead, weekends


def _asked(plan: Plan, ask: AskForm) -> str:
    """Return how a plan was asked for, as an address says it."""
    return "&".join(filter(None, (urlencode({"fair": plan.fair.pk}), ask.address)))


@owner_page
@require_POST
def bring(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the pieces of the page on the weekend's packing list, once, and lead there."""
    weekend = get_object_or_404(Weekend.objects.select_related("fair__stall"), pk=pk)
    form = BringForm(request.POST)
    if not form.is_valid():
        messages.error(
            request, " ".join(str(error) for each in form.errors.values() for error in each)
        )
        return redirect("restock:index")
    lines = form.cleaned_data["lines"]
    try:
        packed = fairs.bring(
            key=form.cleaned_data["key"],
            weekend=weekend,
            lines=lines,
            who=who_is(request),
            now=clock.now(),
        )
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("restock:index")
    total = sum(line.quantity for line in lines)
    pieces = "1 piece is" if total == 1 else f"{total:,} pieces are"
    messages.success(request, f"{pieces} on the packing list of {weekend}: {packed.title}.")
    return redirect(_address(packed.pk, request) or "restock:index")


def _online(plan: Plan, weekends: list[Weekend], request: HttpRequest) -> str | None:
    """Return the page of the online bin, told what this fair needs; None where nothing is free."""
    address = season.address_of("supporters:online", who_is(request))
    asked = beyond.as_asked(plan, beyond.need_to_the_end(plan, weekends))
    return f"{address}?{asked}" if address and asked else None


def _address(packing_list: int | None, request: HttpRequest) -> str | None:
    """Return a packing list's own page."""
    if packing_list is None:
        return None
    return season.address_of("fairs:packing_list", who_is(request), packing_list)
