"""The page at the stall, and what it fetches and sends."""

import dataclasses

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_GET, require_POST

from vendor.counter import (
    asking,
    commission_intake,
    intake,
    offline,
    pin_views,
    queries,
    tray,
    undoings,
)
from vendor.counter.batch import read_batch
from vendor.counter.fields import Malformed
from vendor.counter.stall_sheet import sheet as stall_sheet_of
from vendor.house import clock
from vendor.house.access import helper_page, public_page
from vendor.house.studio import studio_of, who_is


@helper_page
@require_GET
@ensure_csrf_cookie
def sell(request: HttpRequest) -> HttpResponse:
    """Show the page; what it sells comes from `stall_sheet`, so that it can be kept offline."""
    waiting = tray.waiting_count() if who_is(request).is_owner else 0
    return render(request, "counter/sell.html", _page(request) | {"waiting": waiting})


@helper_page
@require_GET
def nameless(request: HttpRequest) -> HttpResponse:
    """Show the same page as devices keep it to start without a network.

    Nobody's name is on it, no form's safety mark, and no message to somebody.
    """
    page = _page(request) | {"nameless": True, "messages": ()}
    return _private(render(request, "counter/sell.html", page))


def _page(request: HttpRequest) -> dict[str, object]:
    today = clock.day_of(clock.now(), studio_of(request))
    return {"standings": queries.standings(today=today)}


@public_page
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """Answer with the service worker: a program, the same for everybody, and no secret."""
    answer = HttpResponse(offline.worker(), content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


@helper_page
@require_GET
def stall_sheet(request: HttpRequest) -> HttpResponse:
    """Answer with the stall as it stands, and what was sold there this day.

    Of the fair asked for, or of the nearest weekend.
    """
    standing = _standing(request)
    with_pots = request.GET.get("pots") != "0"
    sheet = stall_sheet_of(standing, studio=studio_of(request), with_pots=with_pots)
    sales = queries.days_sales(fair=standing.weekend.fair, day=standing.day)
    answer = dataclasses.asdict(sheet) | {
        "now": clock.now().isoformat(),
        "you": {"id": who_is(request).pk, "is_owner": who_is(request).is_owner},
        "vouched": sorted(pin_views.vouched(request)),
        "sales": [dataclasses.asdict(row) for row in sales],
    }
    return _private(JsonResponse(answer))


@helper_page
@require_POST
def take_sales(request: HttpRequest) -> HttpResponse:
    """Take in a batch of sale documents; each is answered for itself."""
    try:
        batch = read_batch(request.body, "sales")
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    answers = intake.take_in(
        raws=batch.documents,
        who=who_is(request),
        now=clock.now(),
        sent_at=batch.sent_at,
        vouched=pin_views.vouched(request),
    )
    return _private(JsonResponse({"answers": [dataclasses.asdict(each) for each in answers]}))


@helper_page
@require_POST
def take_undoings(request: HttpRequest, kind: str = "undoings") -> HttpResponse:
    """Take in a batch of undoings, called so or as formerly; each is answered for itself."""
    try:
        batch = read_batch(request.body, kind)
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    answers = undoings.take_in(
        raws=batch.documents,
        who=who_is(request),
        now=clock.now(),
        vouched=pin_views.vouched(request),
    )
    return _private(JsonResponse({"answers": [dataclasses.asdict(each) for each in answers]}))


@helper_page
@require_POST
def take_commissions(request: HttpRequest) -> HttpResponse:
    """Take in a batch of commissions; each is answered for itself."""
    try:
        batch = read_batch(request.body, "commissions")
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    answers = commission_intake.take_in(
        raws=batch.documents,
        who=who_is(request),
        now=clock.now(),
        sent_at=batch.sent_at,
        vouched=pin_views.vouched(request),
    )
    return _private(JsonResponse({"answers": [dataclasses.asdict(each) for each in answers]}))


@helper_page
@require_POST
def what_became(request: HttpRequest) -> HttpResponse:
    """Answer what became of documents that wait, by their keys."""
    try:
        batch = read_batch(request.body, "keys")
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    answers = asking.what_became(
        keys=batch.documents,
        who=who_is(request),
        now=clock.now(),
        vouched=pin_views.vouched(request),
    )
    return _private(JsonResponse({"answers": [dataclasses.asdict(each) for each in answers]}))


def _standing(request: HttpRequest) -> queries.Standing:
    today = clock.day_of(clock.now(), studio_of(request))
    standings = queries.standings(today=today)
    wanted = request.GET.get("fair", "")
    for each in standings:
        if not wanted or wanted == str(each.weekend.fair_id):
            return each
    raise Http404("There is no open weekend to sell on.")


def _private(response: HttpResponse) -> HttpResponse:
    """Keep an answer out of shared caches: it is this person's, and of this moment."""
    response["Cache-Control"] = "no-store"
    return response
