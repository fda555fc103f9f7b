"""Counting the tills, saying why one is over or short, and what is taken out once counted."""

import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from vendor.closing import actions
from vendor.closing.errors import CountedMeanwhile
from vendor.closing.forms import CashForm, TakeOutForm, cash_initial
from vendor.closing.models import CashCount
from vendor.closing.takings import carried, nights_of, till_sheet
from vendor.closing.tills import Box, Carried, Day, Stretch, TillSheet
from vendor.closing.views import address_of, key_of, query_of, the_weekend
from vendor.counter.till import FIRST_TILL
from vendor.fairs.models import Weekend
from vendor.house import clock, dates
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.refusing import saying_why
from vendor.house.studio import studio_of, who_is


@helper_page
def cash(request: HttpRequest, pk: int) -> HttpResponse:
    """Count a till, at the end of the weekend or of a day; what was expected shows then."""
    weekend = the_weekend(pk)
    if hasattr(weekend, "closing"):
        return redirect("closing:statement", weekend.closing.number)
    studio, sheet = studio_of(request), till_sheet(weekend)
    box, day = _asked(request, weekend, sheet)
    stretch = box.at(day) or Stretch(box.number, box.name, day, box.till, None)
    told = request.POST if request.method == "POST" else None
    initial = {"saw": stretch.version}
    if stretch.count is not None:
        initial |= cash_initial(stretch.count.counted, stretch.count.pieces)
    form = CashForm(told, studio=studio, initial=initial)
    standing = None
    if told is not None and form.is_valid():
        try:
            _count(request, weekend, stretch, form)
        except CountedMeanwhile as refused:
            form.add_error(None, refused.message)
            standing = refused.standing
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            return _back(weekend, stretch.number, day)
    context = {
        "weekend": weekend, "sheet": sheet, "box": box, "stretch": stretch, "form": form,
        "where": ", ".join(
            ([box.name] if len(sheet.boxes) > 1 else [])
            + ([f"{dates.weekday(day)} night"] if day else [])
        ),
        "standing": standing, "nights": _nights(weekend, box, day, request),
        "moved": _moved(weekend, sheet), "between": _between(weekend, sheet), "key": new_key(),
        "out": TakeOutForm(studio=studio, initial=_stays(stretch)),
        "asked": query_of(box.number, day),
        "boxes": [(each, address_of(weekend, each.number, None)) for each in sheet.boxes],
        "language": studio.language.replace("_", "-"),
    }  # fmt: skip
    return render(request, "closing/cash.html", context, status=409 if form.errors else 200)


@helper_page
@require_POST
def explain_cash(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down why a till is over or short."""
    weekend = the_weekend(pk)
    box, day = _asked(request, weekend, till_sheet(weekend))
    with saying_why(request):
        actions.explain_cash(
            key=key_of(request),
            weekend=weekend,
            till=box.number,
            day=day,
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    return _back(weekend, box.number, day)


@helper_page
@require_POST
def take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Take cash out of a till that was counted."""
    weekend = the_weekend(pk)
    box, day = _asked(request, weekend, till_sheet(weekend))
    form = TakeOutForm(request.POST, studio=studio_of(request))
    if not form.is_valid():
        messages.error(request, "Say how much is taken out, and where to. Nothing was entered.")
        return _back(weekend, box.number, day)
    with saying_why(request):
        actions.take_out(
            key=key_of(request),
            weekend=weekend,
            till=box.number,
            day=day,
            amount=form.cleaned_data["amount"],
            reason=form.cleaned_data["reason"],
            who=who_is(request),
            now=clock.now(),
        )
    return _back(weekend, box.number, day)


@helper_page
@require_POST
def explain_carried(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down why the weekend began with other cash than the statement before had left."""
    weekend = the_weekend(pk)
    with saying_why(request):
        actions.explain_carried(
            key=key_of(request),
            weekend=weekend,
            reason=request.POST.get("reason", "")[:400],
            who=who_is(request),
            now=clock.now(),
        )
    return redirect("closing:cash", weekend.pk)


def _asked(request: HttpRequest, weekend: Weekend, sheet: TillSheet) -> tuple[Box, Day | None]:
    """Return the cash box and the night that the address names; the first, and the end."""
    number = request.GET.get("till", str(FIRST_TILL))
    box = next((each for each in sheet.boxes if str(each.number) == number), None)
    try:
        day = datetime.date.fromisoformat(asked) if (asked := request.GET.get("day")) else None
    except ValueError:
        raise Http404 from None
    if box is None or (day is not None and day not in nights_of(weekend)):
        raise Http404
    return box, day


def _nights(
    weekend: Weekend, box: Box, shown: Day | None, request: HttpRequest
) -> list[tuple[str, str, CashCount | None, bool]]:
    """Return the nights that a box can be counted: its name, its address, its count, if shown."""
    today = clock.day_of(clock.now(), studio_of(request))
    found = []
    for day in [*(each for each in nights_of(weekend) if each <= today), None]:
        stretch = box.at(day)
        name = f"{dates.weekday(day)} night" if day else "End of the weekend"
        count = stretch.count if stretch else None
        found.append((name, address_of(weekend, box.number, day), count, day == shown))
    return found


def _count(request: HttpRequest, weekend: Weekend, stretch: Stretch, form: CashForm) -> None:
    actions.count_cash(
        key=key_of(request),
        weekend=weekend,
        till=stretch.number,
        day=stretch.day,
        counted=form.cleaned_data["total"],
        pieces=form.pieces(),
        saw=form.cleaned_data["saw"],
        who=who_is(request),
        now=clock.now(),
    )


def _between(weekend: Weekend, sheet: TillSheet) -> Carried | None:
    """Return how the weekend follows on the one before, once it has begun with something."""
    return carried(weekend, sheet) if sheet.has_begun else None


def _stays(stretch: Stretch) -> dict[str, Any]:
    return {"amount": stretch.above_float} if stretch.stays and stretch.above_float else {}


def _moved(weekend: Weekend, sheet: TillSheet) -> list[tuple[Any, str]]:
    """Return what went into and out of the tills, each with its box where there are several."""
    rows = weekend.till_movements.select_related("made_by").order_by("made_at")
    names = {box.number: box.name for box in sheet.boxes}
    several = len(names) > 1
    return [(each, names.get(each.till, "") if several else "") for each in rows]


def _back(weekend: Weekend, till: int, day: Day | None) -> HttpResponse:
    return redirect(address_of(weekend, till, day))
