"""The Shelf pages on which pieces are entered: opening stock, found, moved, taken out, counted.

Each page carries a key of its own, so that sent twice it enters once. The owner does all of it;
a helper may correct a count at a stall.
"""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from vendor.house import clock
from vendor.house.access import helper_page, owner_page
from vendor.house.refusing import done, status_of
from vendor.house.studio import who_is
from vendor.ledger import actions, places, spots
from vendor.ledger.forms import CountForm, FoundForm, MoveForm, OpeningForm, OutForm, PiecesForm
from vendor.ledger.models import Entry, Place
from vendor.ledger.posting import take_turn
from vendor.ware.models import Ware


@owner_page
def opening(request: HttpRequest) -> HttpResponse:
    """Enter what stands there already, many lines at once."""
    form = OpeningForm(_sent(request), spots=spots.of_all_ware(), initial=_start(request))

    def enter() -> Entry:
        return actions.receive(
            key=form.ledger_key(),
            lines=form.lines(),
            into=form.cleaned_data["place"],
            who=who_is(request),
            now=clock.now(),
            kind=Entry.Kind.OPENING,
        )

    return _page(
        request, form, enter, title="What stands there already", act="Enter it",
        told="The opening stock is entered.", word="to enter",
        about="For a shelf that is full when you begin: enter what stands there. What comes out "
        "of a kiln later is entered by unloading.",
    )  # fmt: skip


@owner_page
def found(request: HttpRequest) -> HttpResponse:
    """Enter pieces that turned up."""
    form = FoundForm(_sent(request), spots=spots.of_all_ware(), initial=_start(request))

    def enter() -> Entry:
        return actions.find(
            key=form.ledger_key(),
            lines=form.lines(),
            at=form.cleaned_data["place"],
            who=who_is(request),
            now=clock.now(),
            reason=form.cleaned_data["reason"],
        )

    return _page(
        request, form, enter, title="Found pieces", act="Enter them",
        told="The found pieces are entered.", word="found",
        about="Pieces that are there though nobody knew of them.",
    )  # fmt: skip


@owner_page
def move(request: HttpRequest) -> HttpResponse:
    """Move free pieces from one place to another."""
    source = _place(request, places.OWN)
    sent = _sent(request)
    form = MoveForm(sent, source=source, spots=_standing(request, source))

    def enter() -> Entry:
        with transaction.atomic():
            return actions.move(
                key=form.ledger_key(),
                lines=form.lines(),
                source=source,
                target=form.place(who=who_is(request), now=clock.now()),
                who=who_is(request),
                now=clock.now(),
                reason=form.cleaned_data["reason"],
            )

    return _page(
        request, form, enter, title=f"Move from {source.name}", act="Move them",
        told="The pieces are moved.", word="to move", place=source, kinds=places.OWN,
        about="Free pieces only: what is held stays where it is until it is released.",
    )  # fmt: skip


@owner_page
def take_out(request: HttpRequest) -> HttpResponse:
    """Take pieces out of stock that leave unsold."""
    source = _place(request, Place.PHYSICAL)
    form = OutForm(_sent(request), spots=_standing(request, source))

    def enter() -> Entry:
        return actions.remove(
            key=form.ledger_key(),
            lines=form.lines(),
            source=source,
            to=form.cleaned_data["to"],
            who=who_is(request),
            now=clock.now(),
            reason=form.cleaned_data["reason"],
        )

    return _page(
        request, form, enter, title=f"Take out of {source.name}", act="Take them out",
        told="The pieces are taken out of stock.", word="to take out", place=source,
        kinds=Place.PHYSICAL,
        about="Broken, given, traded or kept: pieces that leave without a sale.",
    )  # fmt: skip


@helper_page
def count(request: HttpRequest) -> HttpResponse:
    """Set what stands at a place to what was counted, with the reason."""
    place = _place(request, Place.PHYSICAL)
    if not places.may_count(place, who_is(request)):
        raise PermissionDenied
    with transaction.atomic():
        if request.method == "POST":
            # What is recorded must not change between the check of the page and the entry.
            take_turn()
        return _count(request, place)


def _count(request: HttpRequest, place: Place) -> HttpResponse:
    form = CountForm(_sent(request), spots=_standing(request, place, free_only=False))

    def enter() -> Entry | bool:
        entered = actions.correct(
            key=form.ledger_key(),
            counts=form.counts(),
            at=place,
            who=who_is(request),
            now=clock.now(),
            reason=form.cleaned_data["reason"],
        )
        return entered or True

    owner = who_is(request).is_owner
    return _page(
        request, form, enter, title=f"Count {place.name}", act="Correct the count",
        told="The count is entered; where it agreed, nothing changed.", word="counted",
        place=place, kinds=Place.PHYSICAL if owner else (Place.Kind.STALL,),
        about="Enter what you counted; what you leave empty was not counted and stays as it is. "
        "The difference is entered with your reason.",
    )  # fmt: skip


def _page(
    request: HttpRequest,
    form: PiecesForm,
    enter: Callable[[], Entry | bool],
    *,
    told: str,
    place: Place | None = None,
    kinds: tuple[str, ...] = (),
    **words: str,
) -> HttpResponse:
    """Show a page of pieces; when it is sent and in order, enter it and lead to the Shelf."""
    if form.is_valid() and done(form, enter) is not None:
        messages.success(request, told)
        back = request.GET.get("ware", "")
        if back.isascii() and back.isdigit() and len(back) < 18:
            return redirect("ledger:ware", int(back))
        return redirect("ledger:shelf")
    context = {
        "form": form,
        "here": places.value_of(place) if place else "",
        "places": places.offered(kinds) if place else [],
        "back": reverse("ledger:shelf"),
        **words,
    }
    return render(request, "ledger/pieces.html", context, status=status_of(form))


def _sent(request: HttpRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def _start(request: HttpRequest) -> dict[str, str]:
    return {"place": request.GET.get("place", "") or Place.Kind.STUDIO}


def _place(request: HttpRequest, kinds: tuple[str, ...]) -> Place:
    """Return the place that the address names, the studio shelf where it names none."""
    named = request.GET.get("place", "")
    found = places.of(named or Place.Kind.STUDIO, kinds)
    if found is None:
        raise Http404
    return found


def _standing(request: HttpRequest, place: Place, *, free_only: bool = True) -> list[spots.Spot]:
    """Return what stands at a place, or what the address narrows it to."""
    key = request.GET.get("ware", "")
    ware = None
    if key:
        number = int(key) if key.isascii() and key.isdigit() and len(key) < 18 else 0
        ware = get_object_or_404(Ware.objects.named(), pk=number)
    return spots.at(place, ware=ware, sent=request.POST.keys(), free_only=free_only)
