"""What differs between count and book: its equation, what may lie behind it, and saying why."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from vendor.closing import actions, hints
from vendor.closing.entries import acts_of, opened
from vendor.closing.queries import stall_lines
from vendor.closing.takings import till_sheet
from vendor.closing.views import key_of, the_weekend
from vendor.counter.models import Way
from vendor.counter.till import FIRST_TILL
from vendor.house import clock
from vendor.house.access import helper_page, owner_page
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.refusing import saying_why
from vendor.house.studio import who_is
from vendor.ledger.actions import Line
from vendor.ledger.posting import piece
from vendor.ware.models import Grade, Ware

REASONS = (
    "Broken and not written down",
    "Given away and not written down",
    "Gone from the table",
    "Packed, but not on the list",
    "On the list, but not packed",
    "Rung up as another piece",
    "Miscounted before",
)


@helper_page
@require_GET
def differences(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what differs, with its equation, and what may lie behind it."""
    weekend = the_weekend(pk)
    if hasattr(weekend, "closing"):
        return redirect("closing:statement", weekend.closing.number)
    lines, till = stall_lines(weekend), till_sheet(weekend)
    context = {
        "weekend": weekend,
        "differing": [line for line in lines if line.difference],
        "missing": [line for line in lines if line.missing],
        "uncounted": sum(1 for line in lines if not line.count),
        "swaps": hints.swaps(lines),
        "unrung": hints.sold_unrung(weekend.fair, lines, till, on=weekend.last_day),
        "worth": hints.worth(weekend.fair, lines, on=weekend.last_day),
        "sheet": till,
        "reasons": REASONS,
        "methods": Way.choices,
        "key": new_key(),
    }
    return render(request, "closing/differences.html", context)


@helper_page
@require_GET
def entries(request: HttpRequest, pk: int, ware: int, grade: str) -> HttpResponse:
    """Show the entries behind each figure of one ware and grade, before and after closing."""
    weekend = the_weekend(pk)
    context = {
        "weekend": weekend,
        "closed": getattr(weekend, "closing", None),
        "name": piece(get_object_or_404(Ware.objects.named(), pk=ware), grade),
        "opened": opened(weekend, ware, grade),
        "acts": acts_of(weekend, ware, grade),
    }
    return render(request, "closing/entries.html", context)


@helper_page
@require_POST
def explain(request: HttpRequest, pk: int, ware: int, grade: str) -> HttpResponse:
    """Write down why a count differs."""
    weekend = the_weekend(pk)
    with saying_why(request):
        actions.explain_ware(
            key=key_of(request),
            weekend=weekend,
            ware_id=ware,
            grade=grade,
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    return redirect(f"{reverse('closing:differences', args=[weekend.pk])}#w{ware}-{grade}")


@helper_page
@require_POST
def explain_swap(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down of a likely slip that it was one, beside both of its rows."""
    weekend, chosen = the_weekend(pk), request.POST.get("swap", "")
    key, found = key_of(request), hints.swaps(stall_lines(weekend))
    for number, (line, reason) in enumerate(
        reason for each in found if each.name == chosen for reason in each.reasons
    ):
        actions.explain_ware(
            key=f"{key}-{number}",
            weekend=weekend,
            ware_id=line.ware.pk,
            grade=line.grade,
            reason=reason,
            who=who_is(request),
            now=clock.now(),
        )
    return redirect("closing:differences", weekend.pk)


@owner_page
@require_POST
def sell_by_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter missing pieces of one kind or several as one sale at the tag prices."""
    weekend = the_weekend(pk)
    lines = [line for told in request.POST.getlist("missing") if (line := _missing(told))]
    method, till = request.POST.get("method", ""), request.POST.get("till", "")[:3]
    with saying_why(request):
        if not lines or method not in Way.values:
            raise Refused("Say which pieces, and how they were paid. Nothing was sold.")
        sale = actions.sell_by_count(
            key=key_of(request),
            weekend=weekend,
            lines=lines,
            method=method,
            till=int(till) if till.isdecimal() else FIRST_TILL,
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{sale.pieces} sold by count: {sale}.")
    return redirect("closing:differences", weekend.pk)


@owner_page
@require_POST
def sell_unrung(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter the missing pieces of a hint as sold by count for cash, which the till has already."""
    weekend, chosen = the_weekend(pk), request.POST.get("unrung", "")
    found = hints.sold_unrung(
        weekend.fair, stall_lines(weekend), till_sheet(weekend), on=weekend.last_day
    )
    with saying_why(request):
        hint = next((each for each in found if each.name == chosen), None)
        if hint is None:
            raise Refused("Pots and till have changed since. Nothing was sold: look again.")
        sale = actions.sell_by_count(
            key=key_of(request),
            weekend=weekend,
            lines=hint.lines,
            method=Way.CASH,
            till=hint.box.number,
            day=hint.box.day,
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{hint.words} sold by count: {sale}.")
    return redirect("closing:differences", weekend.pk)


def _missing(told: str) -> Line | None:
    """Read which pieces a form names, and how many were missing as it was shown."""
    ware, _, rest = told.partition("-")
    grade, _, quantity = rest.partition("-")
    if not (ware.isdecimal() and quantity.isdecimal() and grade in Grade.values):
        return None
    pieces = int(quantity[:6])
    return Line(int(ware[:15]), pieces, grade) if pieces else None
