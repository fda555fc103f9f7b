"""Counting pots at the stall, row by row, and the sheet for it on paper."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from vendor.closing import actions, count_sheet, pages, passes
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.forms import CountForm
from vendor.closing.queries import NOTHING, StallLine, line_of, stall_lines
from vendor.closing.views import key_of, the_weekend
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.refusing import saying_why
from vendor.house.studio import studio_of, who_is
from vendor.ware.models import Ware


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
        "running": passes.all_running(weekend),
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
    named = get_object_or_404(Ware.objects.named(), pk=ware)
    form, standing = CountForm(StallLine(named, grade, NOTHING), request.POST), None
    if form.is_valid():
        try:
            _counted(request, weekend, form)
        except CountedMeanwhile as refused:
            standing = refused.standing
            form.add_error(None, refused.message)
        except Refused as refused:
            form.add_error(None, refused.message)
    form.line = line_of(weekend, ware, grade) or form.line
    if not form.errors and not _wants_row(request):
        return redirect(f"{reverse('closing:count', args=[weekend.pk])}#w{ware}-{grade}")
    shown = form if form.errors else CountForm(form.line)
    context = {"form": shown, "weekend": weekend, "standing": standing}
    page = "closing/_count_row.html" if _wants_row(request) else "closing/count_one.html"
    return render(request, page, context, status=409 if form.errors else 200)


@helper_page
@require_POST
def count_rest(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down that nothing is there of all that is not counted yet."""
    weekend = the_weekend(pk)
    with saying_why(request):
        made = actions.count_the_rest_as_none(
            key=key_of(request), weekend=weekend, who=who_is(request), now=clock.now()
        )
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


def _counted(request: HttpRequest, weekend: Weekend, form: CountForm) -> None:
    """Write down what a row says: that it is all there is, or that it stands elsewhere too."""
    told, line = form.cleaned_data, form.line
    if told["how"] == "more":
        actions.count_elsewhere(
            key=key_of(request),
            weekend=weekend,
            ware_id=line.ware.pk,
            grade=line.grade,
            pieces=told["counted"],
            where=told["where"],
            who=who_is(request),
            now=clock.now(),
        )
        return
    actions.count_ware(
        key=key_of(request),
        weekend=weekend,
        ware_id=line.ware.pk,
        grade=line.grade,
        counted=told["counted"],
        saw=told["saw"],
        who=who_is(request),
        now=clock.now(),
    )


def _wants_row(request: HttpRequest) -> bool:
    """Tell whether the page asks for the one row, as its script does."""
    return request.headers.get("X-Row") == "1"
