"""What is owed, held and due, and one promise's own page with everything that can be done to it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock
from vendor.house.access import helper_page, owner_page
from vendor.house.models import new_key
from vendor.house.studio import studio_of, who_is
from vendor.ledger.models import Place
from vendor.supporters import actions, places, queries
from vendor.supporters.forms import (
    ChangeForm,
    MakingForm,
    MoveForm,
    PromiseForm,
    ReasonForm,
    SendForm,
)
from vendor.supporters.models import Commitment
from vendor.supporters.views import choices
from vendor.supporters.views.asked import back, key_of, number_of, today_of, told
from vendor.ware.models import Grade, Ware


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show what is overdue, due soon, owed and held, and what is free to hold."""
    today = today_of(request)
    page = queries.overview(today)
    places.tell([row.commitment for row in page.rows], today=today)
    return render(request, "supporters/index.html", {"page": page, "key": new_key})


@helper_page
def held(request: HttpRequest) -> HttpResponse:
    """Show the held pieces by place, with first names at most: what must not be sold."""
    return render(request, "supporters/held.html", {"held": queries.held_pieces(), "key": new_key})


@owner_page
def new(request: HttpRequest) -> HttpResponse:
    """Write a promise down."""
    form = PromiseForm(request.POST or None, initial={"supporter": request.GET.get("supporter")})
    if request.method == "POST" and form.is_valid():
        told_ = form.cleaned_data
        made = actions.promise(
            key=told_["key"],
            supporter=told_["supporter"],
            ware=told_["ware"],
            choices=told_["choices"],
            due_on=told_["due_on"],
            seconds_allowed=told_["seconds_allowed"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{made} is written down.")
        return redirect("supporters:promise", made.number)
    return render(request, "supporters/new.html", {"form": form})


@owner_page
def promise(request: HttpRequest, number: int) -> HttpResponse:
    """Show one promise: what it is, its history, and what can be done."""
    one = _promise(number)
    needs_piece = one.state in Commitment.WITHOUT_A_PIECE
    asked = choices.choices_form(one, request)
    today = today_of(request)
    places.tell([one], today=today)
    spots = places.offered(one, today=today) if needs_piece else []
    context = {
        "questions": asked if asked.asked else None,
        "letter": choices.letter(one, asked, request) if asked.asked else "",
        "answers": one.answers.select_related("question"),
        "making": MakingForm(auto_id="making_%s", promise=one, offered=spots),
        "change": ChangeForm(auto_id="change_%s", initial=_facts(one)),
        "promise": one,
        "overdue": one.is_overdue(today),
        "offers": queries.offers_for(one) if needs_piece else [],
        "needs_piece": needs_piece,
        "steps": one.steps.select_related("made_by").order_by("-id"),
        "key": new_key,
        "release": ReasonForm(auto_id="release_%s"),
        "end": ReasonForm(auto_id="end_%s"),
        "move": MoveForm(
            initial={"to": one.hold.place_id if one.hold else None}, auto_id="move_%s"
        ),
        "send": SendForm(studio=studio_of(request), auto_id="send_%s"),
    }
    return render(request, "supporters/promise.html", context)


@owner_page
@require_POST
@told
def keep(request: HttpRequest, number: int) -> HttpResponse:
    """Hold a piece for a promise: the exact one, or the ware, grade and place that were chosen."""
    one = _promise(number)
    ware, place = number_of(request, "ware"), number_of(request, "place")
    kept = actions.keep_piece(
        key=key_of(request),
        commitment=one,
        ware=None if ware is None else get_object_or_404(Ware.objects.named(), pk=ware),
        place=None if place is None else get_object_or_404(Place.objects.physical(), pk=place),
        grade=Grade.SECOND if request.POST.get("grade") == Grade.SECOND else Grade.FIRST,
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{kept}: a piece is held for {kept.supporter.first_name}.")
    return back(request, "supporters:index")


@owner_page
@require_POST
@told
def release(request: HttpRequest, number: int) -> HttpResponse:
    """Give a held piece back to free stock."""
    done = actions.release_piece(
        key=key_of(request),
        commitment=_promise(number),
        reason=request.POST.get("reason", ""),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{done}: its piece is free again, and one is still owed.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def move(request: HttpRequest, number: int) -> HttpResponse:
    """Carry a held piece to another place."""
    place = get_object_or_404(Place.objects.physical(), pk=number_of(request, "to") or 0)
    actions.move_held(
        key=key_of(request),
        commitment=_promise(number),
        to=place,
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"The held piece is at “{place}” now.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def send(request: HttpRequest, number: int) -> HttpResponse:
    """Send the held piece off."""
    one = _promise(number)
    form = SendForm(request.POST, studio=studio_of(request))
    if not form.is_valid():
        for errors in form.errors.values():
            messages.error(request, " ".join(str(error) for error in errors))
        return redirect("supporters:promise", number)
    told_ = form.cleaned_data
    actions.send_reward(
        key=told_["key"],
        commitment=one,
        carrier=told_["carrier"],
        tracking=told_["tracking"],
        cost=told_["cost"],
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{one} is sent.")
    return redirect("supporters:promise", number)


@helper_page
@require_POST
@told
def hand_over(request: HttpRequest, number: int) -> HttpResponse:
    """Hand a held piece to its supporter; a helper may, at the stall."""
    done = actions.hand_over(
        key=key_of(request), commitment=_promise(number), who=who_is(request), now=clock.now()
    )
    messages.success(request, f"{done} is handed over.")
    return back(request, "supporters:held")


@owner_page
@require_POST
@told
def take_back(request: HttpRequest, number: int) -> HttpResponse:
    """Undo a sending or a handing over that did not happen."""
    done = actions.take_back(
        key=key_of(request),
        commitment=_promise(number),
        reason=request.POST.get("reason", ""),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{done}: the piece is back and held.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def cancel(request: HttpRequest, number: int) -> HttpResponse:
    """Cancel a promise."""
    done = actions.cancel(
        key=key_of(request),
        commitment=_promise(number),
        reason=request.POST.get("reason", ""),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{done} is cancelled.")
    return redirect("supporters:promise", number)


@owner_page
@require_POST
@told
def reopen(request: HttpRequest, number: int) -> HttpResponse:
    """Owe a cancelled promise again."""
    done = actions.reopen(
        key=key_of(request),
        commitment=_promise(number),
        reason=request.POST.get("reason", ""),
        who=who_is(request),
        now=clock.now(),
    )
    messages.success(request, f"{done} is owed again.")
    return redirect("supporters:promise", number)


def _facts(one: Commitment) -> dict[str, Any]:
    return {
        "due_on": one.due_on,
        "choices": one.choices,
        "seconds_allowed": one.seconds_allowed,
    }


def _promise(number: int) -> Commitment:
    return get_object_or_404(Commitment.objects.named(), number=number)
