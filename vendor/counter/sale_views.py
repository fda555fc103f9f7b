"""One sale: its receipt in every shape, and taking something of it back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from vendor.counter import actions, queries, receipts, returns
from vendor.counter.back_form import BackForm, UndoForm
from vendor.counter.models import Sale
from vendor.counter.till import names_of
from vendor.house import clock, paper
from vendor.house.access import helper_page
from vendor.house.models import new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.house.written import money

_SALES = Sale.objects.select_related(
    "fair__stall", "weekend", "seller", "undoing", "exchange__back__sale"
)


@helper_page
@require_GET
def sale(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a sale's receipt, to read, print or send; `gift=1` without prices."""
    found = get_object_or_404(_SALES, pk=pk)
    receipt = _receipt(request, found)
    backs = found.taken_back.prefetch_related("lines__line").select_related(
        "made_by", "exchange__sale"
    )
    page = {"sale": found, "receipt": receipt, "text": receipts.as_text(receipt), "backs": backs}
    return render(request, "counter/sale.html", page)


@helper_page
@require_GET
def as_text(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the receipt as plain text."""
    receipt = _receipt(request, get_object_or_404(_SALES, pk=pk))
    return HttpResponse(receipts.as_text(receipt), content_type="text/plain; charset=utf-8")


@helper_page
@require_GET
def as_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with the receipt as a PDF."""
    receipt = _receipt(request, get_object_or_404(_SALES, pk=pk))
    drawn = paper.draw(receipts.as_sheet(receipt), studio=studio_of(request))
    answer = HttpResponse(drawn, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{receipt.title.lower()}.pdf"'
    return answer


@helper_page
@require_http_methods(["GET", "POST"])
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a sale whole, with a reason."""
    found = get_object_or_404(_SALES, pk=pk)
    form = UndoForm(request.POST or None, initial={"key": new_key()})
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        undoing = done(
            form,
            lambda: actions.undo_sale(
                key=told["key"],
                sale=found,
                reason=told["reason"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if undoing is not None:
            messages.success(request, "Undone. Give the customer's money back yourself.")
            return redirect("counter:sale", pk=found.pk)
    page = {"sale": found, "form": form}
    return render(request, "counter/undo.html", page, status=status_of(form))


@helper_page
@require_http_methods(["GET", "POST"])
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take pieces of a sale back."""
    found = get_object_or_404(_SALES, pk=pk)
    studio = studio_of(request)
    standing = queries.standing_of(found.fair, today=clock.day_of(clock.now(), studio))
    before = returns.brought_before(found)
    boxes = names_of(standing.weekend) if standing is not None else {}
    form = BackForm(
        request.POST or None,
        sale=found,
        before=before,
        boxes=boxes,
        initial={"key": new_key(), "till": found.till},
    )
    if request.method == "POST" and form.is_valid() and standing is not None:
        back = done(
            form,
            lambda: returns.take_back(
                key=form.cleaned_data["key"],
                sale=found,
                brought=form.brought(),
                weekend=standing.weekend,
                day=standing.day,
                method=form.method(),
                till=form.till(),
                reason=form.cleaned_data["reason"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if back is not None:
            messages.success(request, f"Taken back. Give {money(back.refunded, studio)} back.")
            return redirect("counter:sale", pk=found.pk)
    page = {"sale": found, "form": form, "standing": standing}
    return render(request, "counter/take_back.html", page, status=status_of(form))


def _receipt(request: HttpRequest, found: Sale) -> receipts.Receipt:
    is_gift = request.GET.get("gift") == "1"
    return receipts.receipt_of(found, studio=studio_of(request), is_gift=is_gift)
