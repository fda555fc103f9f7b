"""Counting the till, and saying why it is over or short."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from vendor.closing import actions
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.forms import CashForm, cash_initial
from vendor.closing.queries import till_sheet
from vendor.closing.views import key_of, the_weekend
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.studio import studio_of, who_is


@helper_page
def cash(request: HttpRequest, pk: int) -> HttpResponse:
    """Count the till; what was expected shows once it is counted."""
    weekend = the_weekend(pk)
    if hasattr(weekend, "closing"):
        return redirect("closing:statement", weekend.closing.number)
    studio, sheet = studio_of(request), till_sheet(weekend)
    told = request.POST if request.method == "POST" else None
    initial = {"saw": sheet.version}
    if sheet.count is not None:
        initial |= cash_initial(sheet.count.counted, sheet.count.pieces)
    form = CashForm(told, studio=studio, initial=initial)
    standing, status = None, 200
    if told is not None and form.is_valid():
        try:
            actions.count_cash(
                key=key_of(request),
                weekend=weekend,
                counted=form.cleaned_data["total"],
                pieces=form.pieces(),
                saw=form.cleaned_data["saw"],
                who=who_is(request),
                now=clock.now(),
            )
        except CountedMeanwhile as refused:
            form.add_error(None, refused.message)
            standing = refused.standing
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return redirect("closing:cash", weekend.pk)
    if form.errors:
        status = 409
    moved = weekend.till_movements.select_related("made_by").order_by("made_at")
    context = {
        "weekend": weekend, "sheet": sheet, "form": form, "standing": standing, "moved": moved,
        "key": new_key(), "language": studio.language.replace("_", "-"),
    }  # fmt: skip
    return render(request, "closing/cash.html", context, status=status)


@helper_page
@require_POST
def explain_cash(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down why the till is over or short."""
    weekend = the_weekend(pk)
    try:
        actions.explain_cash(
            key=key_of(request),
            weekend=weekend,
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    except Refused as refused:
        messages.error(request, refused.message)
    return redirect("closing:cash", weekend.pk)
