"""Exchanging pieces of a sale for others: first what it comes to, then the exchange."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from vendor.counter import exchanging, queries, returns
from vendor.counter.at import At
from vendor.counter.exchange_form import ExchangeForm
from vendor.counter.exchanging import Difference
from vendor.counter.models import Exchange, Sale
from vendor.counter.prices import listed
from vendor.counter.till import names_of
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.models import new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.house.written import money
from vendor.ware.models import Ware


@helper_page
@require_http_methods(["GET", "POST"])
def exchange(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what an exchange comes to; done once the difference that was shown still holds."""
    found = get_object_or_404(Sale.objects.select_related("fair__stall", "fair__tier"), pk=pk)
    today = clock.day_of(clock.now(), studio_of(request))
    standing = queries.standing_of(found.fair, today=today)
    form = _form(request, found, standing) if standing is not None else None
    told: Difference | None = None
    if form is not None and form.is_valid() and standing is not None:
        told = _difference(form, found)
        if told is not None and request.POST.get("act") == "do" and _was_shown(request, form, told):
            made = _done(request, form, found, standing)
            if made is not None:
                messages.success(request, _said(request, told))
                return redirect("counter:sale", pk=made.sale_id)
    page = {"sale": found, "form": form, "standing": standing, "difference": told}
    return render(request, "counter/exchange.html", page, status=status_of(form))


def _form(request: HttpRequest, sale: Sale, standing: queries.Standing) -> ExchangeForm:
    studio = studio_of(request)
    wares = list(Ware.objects.current().named())
    return ExchangeForm(
        request.POST or None,
        sale=sale,
        before=returns.brought_before(sale),
        boxes=names_of(standing.weekend),
        wares=wares,
        prices=listed(sale.fair, wares, on=standing.day, studio=studio),
        studio=studio,
        initial={"key": new_key(), "till": sale.till},
    )


def _difference(form: ExchangeForm, sale: Sale) -> Difference | None:
    return done(
        form,
        lambda: exchanging.difference(
            sale, form.brought(), form.lines_out(), fair=sale.fair, method=form.method()
        ),
    )


def _was_shown(request: HttpRequest, form: ExchangeForm, told: Difference) -> bool:
    """Whether the seller saw this very difference before they took the money.

    It stands on the page beside the form: a field of the form would say what was sent last.
    """
    if request.POST.get("seen") == str(told.amount):
        return True
    form.add_error(None, "The difference is another now: look at it, and settle it once more.")
    return False


def _done(
    request: HttpRequest, form: ExchangeForm, sale: Sale, standing: queries.Standing
) -> Exchange | None:
    now = clock.now()
    at = At(weekend=standing.weekend, day=standing.day, moment=now, till=form.till())
    return done(
        form,
        lambda: exchanging.exchange(
            key=form.cleaned_data["key"], sale=sale, brought=form.brought(),
            lines=form.lines_out(), method=form.method(), reason=form.cleaned_data["reason"],
            at=at, who=who_is(request), now=now,
        ),
    )  # fmt: skip


def _said(request: HttpRequest, told: Difference) -> str:
    studio = studio_of(request)
    if told.to_pay:
        return f"Exchanged. {money(told.to_pay, studio)} is paid."
    if told.to_give:
        return f"Exchanged. Give {money(told.to_give, studio)} back."
    return "Exchanged, one for the other."
