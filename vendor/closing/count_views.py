"""Counting pots at the stall, row by row, and saying why a count differs."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from vendor.closing import actions, count_sheet, hints, pages
from vendor.closing.entries import opened
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.forms import CountForm
from vendor.closing.queries import NOTHING, StallLine, line_of, stall_lines
from vendor.closing.takings import till_sheet
from vendor.closing.views import key_of, the_weekend
from vendor.counter.models import Way
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.access import helper_page, owner_page
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.studio import studio_of, who_is
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
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the stall row by row; what was expected shows once a row is counted."""
    weekend = the_weekend(pk)
    if hasattr(weekend, "closing"):
        return redirect("closing:statement", weekend.closing.number)
    search, only_open = request.GET.get("q", "")[:100], "open" in request.GET
    lines = stall_lines(weekend)
    shown = pages.matching(lines, search, only_open=only_open)
    context = {
        "weekend": weekend,
        "rows": [CountForm(line) for line in [*shown, *pages.strays(lines, search)]],
        "all": len(lines),
        "counted": sum(1 for line in lines if line.count),
        "search": search,
        "only_open": only_open,
        "seeing": who_is(request).is_owner and "expected" in request.GET,
        "key": new_key(),
    }
    return render(request, "closing/count.html", context)


@helper_page
@require_POST
def count_ware(request: HttpRequest, pk: int, ware: int, grade: str) -> HttpResponse:
    """Save one row's count; a page with scripts gets the row back, any other the whole page."""
    weekend = the_weekend(pk)
    line = _the_line(weekend, ware, grade)
    form, standing = CountForm(line, request.POST), None
    if form.is_valid():
        try:
            actions.count_ware(
                key=key_of(request),
                weekend=weekend,
                ware_id=ware,
                grade=grade,
                counted=form.cleaned_data["counted"],
                saw=form.cleaned_data["saw"],
                who=who_is(request),
                now=clock.now(),
            )
        except CountedMeanwhile as refused:
            standing = refused.standing
            form.add_error(None, refused.message)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return _row_saved(request, weekend, ware, grade)
    context = {"form": form, "weekend": weekend, "standing": standing}
    if _wants_row(request):
        return render(request, "closing/_count_row.html", context, status=409)
    return render(request, "closing/count_one.html", context, status=409)


@helper_page
@require_POST
def count_rest(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down that nothing is there of all that is not counted yet."""
    weekend = the_weekend(pk)
    try:
        made = actions.count_the_rest_as_none(
            key=key_of(request), weekend=weekend, who=who_is(request), now=clock.now()
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{len(made)} more are counted as none.")
    return redirect("closing:count", weekend.pk)


@helper_page
@require_GET
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an empty count sheet, for paper."""
    weekend = the_weekend(pk)
    return render(
        request, "closing/sheet.html", {"weekend": weekend, "lines": stall_lines(weekend)}
    )


@helper_page
@require_GET
def sheet_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with an empty count sheet as a PDF."""
    weekend = the_weekend(pk)
    pdf = count_sheet.draw(weekend, stall_lines(weekend), studio=studio_of(request))
    return HttpResponse(pdf, content_type="application/pdf")


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
    }
    return render(request, "closing/entries.html", context)


@helper_page
@require_POST
def explain(request: HttpRequest, pk: int, ware: int, grade: str) -> HttpResponse:
    """Write down why a count differs."""
    weekend = the_weekend(pk)
    try:
        actions.explain_ware(
            key=key_of(request),
            weekend=weekend,
            ware_id=ware,
            grade=grade,
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    except Refused as refused:
        messages.error(request, refused.message)
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
def sell_by_count(request: HttpRequest, pk: int, ware: int, grade: str) -> HttpResponse:
    """Enter missing pieces as sold at the tag price."""
    weekend = the_weekend(pk)
    line = _the_line(weekend, ware, grade)
    method, till = request.POST.get("method", ""), request.POST.get("till", "")[:3]
    try:
        if not line.missing or method not in Way.values:
            raise Refused("Nothing of it is missing by now. Nothing was changed.")
        sale = actions.sell_by_count(
            key=key_of(request),
            weekend=weekend,
            lines=[Line(ware, line.missing, grade)],
            method=method,
            till=int(till) if till.isdecimal() else FIRST_TILL,
            who=who_is(request),
            now=clock.now(),
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{sale.pieces} × {line.name} sold by count: {sale}.")
    return redirect("closing:differences", weekend.pk)


@owner_page
@require_POST
def sell_unrung(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter the missing pieces of a hint as sold by count for cash, which the till has already."""
    weekend, chosen = the_weekend(pk), request.POST.get("unrung", "")
    found = hints.sold_unrung(
        weekend.fair, stall_lines(weekend), till_sheet(weekend), on=weekend.last_day
    )
    try:
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
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"{hint.words} sold by count: {sale}.")
    return redirect("closing:differences", weekend.pk)


def _the_line(weekend: Weekend, ware: int, grade: str) -> StallLine:
    """Return how a ware and grade stands, with noughts where the stall never had it."""
    found = line_of(weekend, ware, grade)
    if found is not None:
        return found
    stray = get_object_or_404(Ware.objects.named(), pk=ware)
    return StallLine(stray, Grade(grade) if grade in Grade.values else grade, NOTHING, None)


def _wants_row(request: HttpRequest) -> bool:
    """Tell whether the page asks for the one row, as its script does."""
    return request.headers.get("X-Row") == "1"


def _row_saved(request: HttpRequest, weekend: Weekend, ware: int, grade: str) -> HttpResponse:
    if not _wants_row(request):
        return redirect(f"{reverse('closing:count', args=[weekend.pk])}#w{ware}-{grade}")
    lines = stall_lines(weekend)
    line = next(each for each in lines if (each.ware.pk, each.grade) == (ware, grade))
    answer = render(
        request, "closing/_count_row.html", {"form": CountForm(line), "weekend": weekend}
    )
    answer["X-Counted"] = str(sum(1 for each in lines if each.count))
    answer["X-All"] = str(len(lines))
    return answer
