"""The owner's tray: what waits, and settling it."""

import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from vendor.counter import settling, tray
from vendor.counter.commission_forms import TakeCommissionForm
from vendor.counter.forms import AsideForm, TakeForm
from vendor.counter.models import Unsettled
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is


@owner_page
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """List the documents that wait."""
    return render(request, "counter/tray.html", {"waiting": tray.waiting()})


@owner_page
@require_http_methods(["GET", "POST"])
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a kept document as its seller saw it, and take it as what it is."""
    unsettled = get_object_or_404(Unsettled, pk=pk, settled_at__isnull=True)
    if unsettled.kind == Unsettled.Kind.COMMISSION:
        return _settle_commission(request, unsettled)
    today = clock.day_of(clock.now(), studio_of(request))
    waiting = tray.look_at(unsettled, today=today)
    form = TakeForm(request.POST or None, waiting=waiting)
    if request.method == "POST" and form.is_valid() and waiting.standing is not None:
        weekend = waiting.standing.weekend
        sale = done(
            form,
            lambda: settling.take_as_sale(
                unsettled=unsettled,
                weekend=weekend,
                day=datetime.date.fromisoformat(form.cleaned_data["day"]),
                instead=form.instead(),
                overrides=form.overrides(),
                not_the_held=form.is_other(),
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if sale is not None:
            messages.success(request, f"Taken as sale {sale.number}.")
            return redirect("counter:tray")
    page = {"waiting": waiting, "form": form, "aside": AsideForm(auto_id="aside_%s")}
    return render(request, "counter/settle.html", page)


def _settle_commission(request: HttpRequest, unsettled: Unsettled) -> HttpResponse:
    """Show a kept commission as its seller wrote it, and write it down as a promise."""
    waiting = tray.look_at_commission(
        unsettled, today=clock.day_of(clock.now(), studio_of(request))
    )
    first = {"ware": waiting.ware, "form": waiting.form}
    form = TakeCommissionForm(request.POST or None, standing=waiting.standing, initial=first)
    if request.method == "POST" and form.is_valid() and waiting.standing is not None:
        told, weekend = form.cleaned_data, waiting.standing.weekend
        made = done(
            form,
            lambda: settling.take_as_commission(
                unsettled=unsettled, weekend=weekend, ware=told["ware"], form=told["form"],
                day=datetime.date.fromisoformat(told["day"]), who=who_is(request), now=clock.now(),
            ),
        )  # fmt: skip
        if made is not None:
            messages.success(request, f"Taken as {made.commitment}.")
            return redirect("counter:tray")
    page = {"waiting": waiting, "form": form, "aside": AsideForm(auto_id="aside_%s")}
    status = status_of(form)
    return render(request, "counter/settle_commission.html", page, status=status)


@owner_page
@require_POST
def put_aside(request: HttpRequest, pk: int) -> HttpResponse:
    """Settle a kept document without a sale."""
    unsettled = get_object_or_404(Unsettled, pk=pk)
    settling.put_aside(
        unsettled=unsettled,
        reason=request.POST.get("reason", ""),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, "Put aside. It stays on record, and counts nowhere.")
    return redirect("counter:tray")
