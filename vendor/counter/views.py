"""The page at the stall, and what it fetches and sends."""

import dataclasses
import datetime
from collections.abc import Callable

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
    totes,
    tray,
    undoings,
)
from vendor.counter.answers import Answer
from vendor.counter.batch import Batch, read_batch
from vendor.counter.fields import Malformed
from vendor.counter.stall_sheet import sheet as stall_sheet_of
from vendor.house import clock
from vendor.house.access import helper_page, public_page
from vendor.house.models import User
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
    ordered = queries.days_commissions(fair=standing.weekend.fair, day=standing.day)
    answer = dataclasses.asdict(sheet) | {
        "commissions": [dataclasses.asdict(row) for row in ordered],
        "now": clock.now().isoformat(),
        "you": {"id": who_is(request).pk, "is_owner": who_is(request).is_owner},
        "vouched": sorted(pin_views.vouched(request)),
        "sales": [dataclasses.asdict(row) for row in sales],
    }
    return _private(JsonResponse(answer))


@helper_page
@require_POST
def take_sales(request: HttpRequest) -> HttpResponse:
    """Take in a batch of sale documents."""
    return _taken(request, "sales", intake.take_in)


@helper_page
@require_POST
def take_undoings(request: HttpRequest, kind: str = "undoings") -> HttpResponse:
    """Take in a batch of undoings, called so or as formerly."""
    vouched = pin_views.vouched(request)
    return _answered(
        request,
        kind,
        lambda batch, who, now: undoings.take_in(
            raws=batch.documents, who=who, now=now, vouched=vouched
        ),
    )


@helper_page
@require_POST
def take_totes(request: HttpRequest) -> HttpResponse:
    """Take in a batch of words about totes."""
    return _answered(
        request,
        "totes",
        lambda batch, who, now: totes.take_in(raws=batch.documents, who=who, now=now),
    )


@helper_page
@require_POST
def take_commissions(request: HttpRequest) -> HttpResponse:
    """Take in a batch of commissions."""
    return _taken(request, "commissions", commission_intake.take_in)


@helper_page
@require_POST
def what_became(request: HttpRequest) -> HttpResponse:
    """Answer what became of documents that wait, by their keys."""
    vouched = pin_views.vouched(request)
    return _answered(
        request,
        "keys",
        lambda batch, who, now: asking.what_became(
            keys=batch.documents, who=who, now=now, vouched=vouched
        ),
    )


def _taken(request: HttpRequest, kind: str, take_in: Callable[..., list[Answer]]) -> HttpResponse:
    """Answer a batch of documents that tell moments by the device's clock, and their sellers."""
    vouched = pin_views.vouched(request)
    return _answered(
        request,
        kind,
        lambda batch, who, now: take_in(
            raws=batch.documents, who=who, now=now, sent_at=batch.sent_at, vouched=vouched
        ),
    )


def _answered(
    request: HttpRequest,
    kind: str,
    take: Callable[[Batch, User, datetime.datetime], list[Answer]],
) -> HttpResponse:
    """Answer a batch: each of its documents for itself, or 400 where it is no batch."""
    try:
        batch = read_batch(request.body, kind)
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    answers = take(batch, who_is(request), clock.now())
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
