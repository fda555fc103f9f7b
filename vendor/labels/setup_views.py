"""The pages on which sheets, printers and what tags carry are set, and the test print."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.studio import studio_of, who_is
from vendor.labels import actions, choosing, queries
from vendor.labels.article import OWN_PREFIX
from vendor.labels.choosing import Source
from vendor.labels.drawing import begun_sheet
from vendor.labels.dress_forms import DressForm, NumbersForm
from vendor.labels.models import Kind, LabelPrinter, LabelSheet
from vendor.labels.proof import draw_proof
from vendor.labels.setup_forms import PrinterForm, SheetForm


def pdf_answer(data: bytes, name: str) -> HttpResponse:
    """Answer with a PDF that the browser shows rather than saves."""
    disposition = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(data, "application/pdf", headers=disposition)


def _unit(request: HttpRequest) -> str:
    """Return the unit that lengths are typed in: as the address asks, else the studio's own."""
    own = "in" if studio_of(request).units == Studio.Unit.INCH else "mm"
    asked = request.GET.get("unit")
    return asked if asked in ("mm", "in") else own


@owner_page
def settings(request: HttpRequest) -> HttpResponse:
    """Set what tags carry; show the sheets and the printers."""
    dress = queries.the_dress()
    form = DressForm(request.POST or None, request.FILES or None, instance=dress)
    if request.method == "POST" and form.is_valid():
        actions.keep_dress(
            dress=form.save(commit=False),
            mark=form.cleaned_data["picture"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, "Saved: what tags carry.")
        return redirect("labels:settings")
    named = queries.named_apart(LabelSheet.objects.all())
    context = {
        "form": form,
        "dress": dress,
        "sheets": named,
        "printers": LabelPrinter.objects.all(),
    }
    return render(request, "labels/settings.html", context)


@owner_page
def numbers(request: HttpRequest) -> HttpResponse:
    """Give ware its article numbers: real ones, or the next of the range for one's own use."""
    picks = choosing.picks_for(Kind.TALKER, Source())
    had = queries.numbers()
    sent = request.POST if request.method == "POST" and "all" not in request.POST else None
    form = NumbersForm(sent, picks=picks, numbers=had)
    if request.method == "POST" and sent is None:
        spots = [(pick.ware.pk, pick.grade) for pick in picks if pick.ware]
        given = actions.number_all(spots=spots, who=who_is(request), now=clock.now())
        messages.success(request, f"{given} article numbers of your own range are given.")
        return redirect("labels:numbers")
    if form.is_valid():
        try:
            actions.give_numbers(numbers=form.changed(), who=who_is(request), now=clock.now())
        except Refused as refusal:
            form.add_error(None, refusal.message)
        else:
            messages.success(request, "The article numbers are saved.")
            return redirect("labels:numbers")
    return render(request, "labels/numbers.html", {"form": form, "prefix": OWN_PREFIX})


@owner_page
def mark(request: HttpRequest) -> HttpResponse:
    """Show the studio's mark as it is kept; where there is none, where one can be given."""
    data = queries.the_dress().mark
    if not data:
        return redirect("labels:settings")
    return HttpResponse(bytes(data), "image/png", headers={"Cache-Control": "no-store"})


@owner_page
def sheet(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a sheet, or correct one's numbers."""
    row = get_object_or_404(LabelSheet, pk=pk) if pk is not None else None
    form = SheetForm(request.POST or None, row=row, unit=_unit(request))
    if form.is_valid():
        kept = actions.keep_sheet(
            sheet=form.kept(),
            key=form.cleaned_data["key"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"Saved: {kept}. Print its edges on plain paper once.")
        return redirect("labels:sheet", kept.pk)
    context = {
        "form": form,
        "row": row,
        "inches": form["unit"].value() == "in",
        "drawing": begun_sheet(row.sheet, 1) if row else "",
        "printers": queries.printers_on_offer(),
    }
    return render(request, "labels/sheet.html", context)


@owner_page
def printer(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a printer, or change what is known of one."""
    row = get_object_or_404(LabelPrinter, pk=pk) if pk is not None else LabelPrinter()
    form = PrinterForm(request.POST or None, row=row, unit=_unit(request))
    if form.is_valid():
        kept = actions.keep_printer(
            printer=form.kept(),
            key=form.cleaned_data["key"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"Saved: {kept}.")
        return redirect("labels:settings")
    context = {
        "form": form,
        "row": row,
        "inches": form["unit"].value() == "in",
        "sheet": queries.usual_sheet(studio_of(request)) if row.pk else None,
    }
    return render(request, "labels/printer.html", context)


@owner_page
def proof(request: HttpRequest, sheet: int, printer: int) -> HttpResponse:
    """Give a test print for plain paper: every label's edge and number, and a line to measure."""
    row = get_object_or_404(LabelSheet, pk=sheet)
    by = get_object_or_404(LabelPrinter, pk=printer)
    return pdf_answer(draw_proof(row.sheet, by.printing), "test-print")
