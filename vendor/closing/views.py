"""The pages of closing: what stands open, the closing itself, statements and their amendments."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from vendor.closing import actions, pages, statement_sheet
from vendor.closing.amendments import amended, entered_in
from vendor.closing.checklist import books_of, is_over, open_items
from vendor.closing.forms import AmendForm
from vendor.closing.models import Closing
from vendor.closing.queries import closed_before
from vendor.closing.tables import StatementsTable
from vendor.closing.tills import Day, Stretch, TillSheet
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.house import clock, listing, spreadsheet
from vendor.house.access import helper_page, owner_page
from vendor.house.errors import Refused
from vendor.house.listing import Choice, Empty
from vendor.house.models import new_key
from vendor.house.money import format_rate
from vendor.house.refusing import done, saying_why
from vendor.house.studio import studio_of, who_is


def the_weekend(pk: int) -> Weekend:
    """Return a weekend with its fair and stall, or answer 404."""
    weekends = Weekend.objects.select_related("fair__stall", "fair__tier", "closing")
    return get_object_or_404(weekends, pk=pk)


def key_of(request: HttpRequest) -> str:
    """Return the key that the form brought along, or a fresh one."""
    return request.POST.get("key", "")[:40] or new_key()


def query_of(till: int, day: Day | None) -> str:
    """Return what an address adds for a till and a night; nothing for the first and the end."""
    about = {"till": str(till)} if till != FIRST_TILL else {}
    asked = urlencode(about | ({"day": day.isoformat()} if day else {}))
    return f"?{asked}" if asked else ""


def address_of(weekend: Weekend, till: int, day: Day | None) -> str:
    """Return where a till is counted, at the end of a night or of the weekend."""
    return reverse("closing:cash", args=[weekend.pk]) + query_of(till, day)


@helper_page
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """Show which weekend is to be closed, and the statements so far."""
    today = clock.day_of(clock.now(), studio_of(request))
    return listing.lay_out(
        request,
        StatementsTable,
        pages.closings(),
        file_name="statements",
        search=("title",),
        filters=(Choice("fair", "Fair", field="weekend__fair__name"),),
        empty=Empty("No statement yet", "When a weekend is closed, its statement stands here."),
    ).answer("closing/index.html", page=pages.first_page(today=today))


@helper_page
@require_GET
def weekend(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the steps to a weekend's closing, and what stands in the way of it."""
    shown = the_weekend(pk)
    if hasattr(shown, "closing"):
        return redirect("closing:statement", shown.closing.number)
    now = clock.now()
    books = books_of(shown)
    lines = books.lines
    items = open_items(shown, books, now=now)
    context = {
        "weekend": shown,
        "lines": lines,
        "counted": sum(1 for line in lines if line.count),
        "differing": [line for line in lines if line.difference],
        "unexplained": sum(1 for line in lines if line.is_open),
        "sheet": books.sheet,
        "cards": books.cards,
        "counts": _counts(shown, books.sheet),
        "hard": [item for item in items if not item.soft],
        "soft": [item for item in items if item.soft],
        "over": is_over(shown, now),
        "corrects": entered_in(shown, studio_of(request), after=closed_before(shown)),
        "key": new_key(),
    }
    return render(request, "closing/weekend.html", context)


@owner_page
@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a weekend for good."""
    shown = the_weekend(pk)
    with saying_why(request):
        closing = actions.close_weekend(
            key=key_of(request),
            weekend=shown,
            who=who_is(request),
            now=clock.now(),
            confirmed=bool(request.POST.get("confirmed")),
            leftovers=_leftovers(request.POST.get("leftovers", actions.Leftovers.STAY)),
        )
        messages.success(request, f"{shown} is closed. This is its statement.")
        return redirect("closing:statement", closing.number)
    return redirect("closing:weekend", shown.pk)


@helper_page
@require_GET
def statement(request: HttpRequest, number: int) -> HttpResponse:
    """Show a closed weekend's statement, for the screen and for paper."""
    page = pages.statement(_closing(number))
    return _statement_page(request, page, _amend_form(request, page))


@helper_page
@require_GET
def statement_pdf(request: HttpRequest, number: int) -> HttpResponse:
    """Answer with a statement as a PDF."""
    closing = _closing(number)
    pdf = statement_sheet.draw(pages.statement(closing), studio=studio_of(request))
    name = f"statement-{closing.number}-{closing.last_day.isoformat()}.pdf"
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )


@helper_page
@require_GET
def statement_file(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    """Answer with a statement's pots as a spreadsheet."""
    if kind not in spreadsheet.FORMATS:
        raise Http404
    closing = _closing(number)
    head, rows = statement_sheet.as_rows(pages.statement(closing), studio_of(request))
    name = f"statement-{closing.number}-{closing.last_day.isoformat()}"
    return spreadsheet.response(kind, name, head, rows)


@owner_page
@require_POST
def amend(request: HttpRequest, number: int) -> HttpResponse:
    """Note what a statement got wrong, under today's date and linked to it."""
    closing = _closing(number)
    page = pages.statement(closing)
    form = _amend_form(request, page, request.POST)
    if form.is_valid():
        noted = done(
            form,
            lambda: actions.amend_closing(
                key=key_of(request),
                closing=closing,
                reason=form.cleaned_data["reason"],
                counts=form.counts(),
                till=form.till(),
                cash=form.cash(),
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if noted is not None:
            messages.success(request, "Noted with the statement, which stays as it was written.")
            return redirect("closing:statement", closing.number)
    return _statement_page(request, page, form)


def _counts(weekend: Weekend, sheet: TillSheet) -> list[tuple[str, Stretch, str]]:
    """Return each count of each till: its name where there are several, and its address."""
    several = len(sheet.stretches) > 1
    return [
        (
            sheet.name_of(each) if several else "",
            each,
            address_of(weekend, each.number, each.day),
        )
        for each in sheet.stretches
    ]


def _leftovers(chosen: str) -> actions.Leftovers:
    """Return where what is left goes; refused where that is no place."""
    if chosen not in list(actions.Leftovers):
        raise Refused("Say what becomes of what is left on the stall. Nothing was changed.")
    return actions.Leftovers(chosen)


def _amend_form(request: HttpRequest, page: pages.Statement, told: Any = None) -> AmendForm:
    """Return the form of a correction: of any ware, the statement's own first."""
    lines = [(line.ware_id, line.grade, line.name) for line in page.lines]
    boxes = {row.till: row.name for row in page.cash}
    return AmendForm(
        told,
        studio=studio_of(request),
        pieces=lines,
        others=pages.other_ware(lines) if who_is(request).is_owner else [],
        boxes=boxes,
    )


def _statement_page(request: HttpRequest, page: pages.Statement, form: AmendForm) -> HttpResponse:
    shrinkage = format_rate(page.shrinkage_ppm, studio_of(request).language)
    context = {
        "page": page, "shrinkage": shrinkage, "form": form, "key": new_key(),
        "amended": amended(page.closing, studio_of(request)),
        "corrects": entered_in(
            page.closing.weekend, studio_of(request), after=page.closing.after
        ),
    }  # fmt: skip
    status = 409 if form.errors else 200
    return render(request, "closing/statement.html", context, status=status)


def _closing(number: int) -> Closing:
    closings = Closing.objects.select_related(
        "weekend__fair", "made_by", "correction", "taken_home"
    ).prefetch_related("amendments__made_by")
    return get_object_or_404(closings, number=number)
