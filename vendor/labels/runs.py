"""The pages of what was printed, and of what the tags on the pieces say now."""

from contextlib import ExitStack
from tempfile import SpooledTemporaryFile

from django.contrib import messages
from django.db.models import Sum
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock, listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Days, Empty
from vendor.house.studio import studio_of, who_is
from vendor.labels import actions, queries
from vendor.labels.in_hand import by_tag
from vendor.labels.job import job_of, write_pdf
from vendor.labels.models import Kind, PrintRun
from vendor.labels.setup_views import pdf_answer
from vendor.labels.tables import RunTable, StateTable

IN_MEMORY = 1_000_000
"""A longer PDF (bytes) waits on the disk until it is sent."""


@owner_page
def runs(request: HttpRequest) -> HttpResponse:
    """Show what was printed."""
    rows = PrintRun.objects.select_related("sheet", "made_by").annotate(count=Sum("tags__quantity"))
    rows = rows.order_by("-pk")  # what is summed loses its usual order
    return listing.lay_out(
        request,
        RunTable,
        rows,
        file_name="tags-printed",
        search=("source", "tags__ware__code", "tags__ware__form__name"),
        filters=(
            Choice("kind", "Kind", field="kind", choices=Kind.choices),
            Days("made", "Printed", field="made_at", moments=True),
        ),
        empty=Empty(
            "Nothing printed yet", "Choose what to tag, and print it.", "Print tags", "labels:index"
        ),
    ).answer("labels/runs.html")


@owner_page
def state(request: HttpRequest) -> HttpResponse:
    """Show for all that stands somewhere what its tags say, and where it is."""
    studio = studio_of(request)
    rows = queries.tag_states(on=clock.day_of(clock.now(), studio), studio=studio)
    rows.sort(key=lambda row: -row.to_tag)
    return listing.lay_out(
        request,
        StateTable,
        rows,
        file_name="tags-on-pieces",
        search=("name", "ware__code", "where"),
        filters=(
            Choice(
                "tags",
                "Tags",
                options={
                    "wrong": ("With a wrong price", lambda row: row.outdated > 0),
                    "to_tag": ("To tag", lambda row: row.to_tag > 0),
                },
            ),
        ),
        empty=Empty(
            "Nothing on the shelf yet", "Unload a firing first.", "Go to the kiln", "firings:index"
        ),
    ).answer("labels/state.html")


@owner_page
def in_hand(request: HttpRequest) -> HttpResponse:
    """Show the piece whose tag says a code: what the tag should say, and what there is of it."""
    studio = studio_of(request)
    code = request.GET.get("code", "").strip()[:64]
    piece = by_tag(code, at=clock.day_of(clock.now(), studio), studio=studio) if code else None
    return render(request, "labels/in_hand.html", {"code": code, "piece": piece})


@owner_page
def run(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a print run: open its PDF, print it again from another label, or strike it."""
    found = _run_or_404(pk)
    job = job_of(found)
    pages = found.sheet.sheet.pages_for(job.count, found.start)
    return render(request, "labels/run.html", {"run": found, "job": job, "pages": pages})


@owner_page
def run_pdf(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a print run as a PDF, by the numbers that its sheet and printer have now."""
    job = job_of(_run_or_404(pk))
    with ExitStack() as last:
        file = last.enter_context(SpooledTemporaryFile(IN_MEMORY))
        write_pdf(job, studio=studio_of(request), dress=queries.the_dress(), target=file)
        length = file.tell()
        file.seek(0)
        if length <= IN_MEMORY:
            return pdf_answer(file.read(), f"tags-{pk}")
        last.pop_all()  # the answer closes the file when it is sent
        return FileResponse(file, content_type="application/pdf", filename=f"tags-{pk}.pdf")


@owner_page
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a run begin at another label, for printing it again."""
    text = request.POST.get("start", "")
    start = int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
    actions.print_again(run=_run_or_404(pk), start=start, who=who_is(request), now=clock.now())
    return redirect("labels:run", pk)


@owner_page
@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a run's tags were never put on pieces, or take that back."""
    found = _run_or_404(pk)
    if "restore" in request.POST:
        actions.restore_run(run=found, who=who_is(request), now=clock.now())
        messages.success(request, "These tags count as printed again.")
    else:
        actions.strike_run(run=found, who=who_is(request), now=clock.now())
        messages.success(request, "These tags count as never printed. It can be taken back.")
    return redirect("labels:run", pk)


def _run_or_404(pk: int) -> PrintRun:
    runs = PrintRun.objects.select_related("sheet", "printer", "made_by", "struck_by")
    return get_object_or_404(runs, pk=pk)
