"""The page for counting one by one, and what it fetches and sends."""

import dataclasses

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_GET, require_POST

from vendor.closing import actions, passes
from vendor.closing.queries import stall_lines
from vendor.closing.scan_batch import read_scans
from vendor.closing.scanning import Taken
from vendor.closing.views import the_weekend
from vendor.counter.fields import Malformed
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.refusing import saying_why
from vendor.house.studio import who_is


@helper_page
@require_GET
@ensure_csrf_cookie
def one_by_one(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the stall's ware to be tapped or scanned, each piece once; blind all through."""
    weekend = the_weekend(pk)
    if hasattr(weekend, "closing"):
        return redirect("closing:statement", weekend.closing.number)
    who = who_is(request)
    context = {
        "weekend": weekend,
        "lines": stall_lines(weekend),
        "running": [dataclasses.asdict(each) for each in passes.running(weekend, who)],
        "held": [dataclasses.asdict(each) for each in passes.held_here(weekend)],
    }
    return render(request, "closing/one_by_one.html", context)


@helper_page
@require_GET
def tags(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer with all that a tag can stand for, so that a scan needs no network."""
    the_weekend(pk)
    answer = JsonResponse({"tags": [dataclasses.asdict(each) for each in passes.tags()]})
    answer["Cache-Control"] = "no-store"
    return answer


@helper_page
@require_POST
def take_scans(request: HttpRequest, pk: int) -> HttpResponse:
    """Take in a batch of scans; each is answered for itself, and a batch refused in a sentence."""
    weekend = the_weekend(pk)
    try:
        going, scans = read_scans(request.body)
        taken = actions.scan_pieces(
            weekend=weekend, going=going, scans=scans, who=who_is(request), now=clock.now()
        )
    except Malformed as error:
        return JsonResponse({"error": str(error)}, status=400)
    except Refused as refused:
        return JsonResponse({"refused": refused.message})
    return JsonResponse(_told(taken))


@helper_page
@require_POST
def end_pass(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """End a pass: what it counted is held against the book from now on."""
    weekend = the_weekend(pk)
    with saying_why(request):
        actions.end_pass(weekend=weekend, number=number, who=who_is(request), now=clock.now())
    return redirect("closing:count", weekend.pk)


def _told(taken: Taken) -> dict[str, object]:
    """Return the answers, and what the pass has counted by now of all that was touched."""
    mine = {
        f"{ware_id} {grade}": tally.by(taken.in_pass) or 0
        for (ware_id, grade), tally in taken.standing.items()
    }
    return {
        "pass": taken.in_pass.number,
        "answers": [dataclasses.asdict(each) for each in taken.answers],
        "mine": mine,
    }
