"""The pages of batches: what is on the way, one batch with its history, a new one.

All of Fire is the owner's.
"""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.firings import batching, boards
from vendor.firings.batch_forms import (
    BatchReasonForm,
    LoseForm,
    MoveForm,
    NewBatchForm,
    TakeBackForm,
)
from vendor.firings.models import Batch, Stage
from vendor.firings.tables import BatchTable
from vendor.house import clock, listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Days, Empty
from vendor.house.models import new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware.models import Form


@owner_page
def on_the_way(request: HttpRequest, over: bool = False) -> HttpResponse:
    """Show the batches on the way by stage, or those that are over."""
    today = clock.day_of(clock.now(), studio_of(request))
    rows = boards.batch_rows(over=over, today=today)
    empty = Empty(
        "No batch is over yet" if over else "Nothing is on the way",
        "A batch ends when its last piece is out of the kiln, or when it is called off."
        if over
        else "Begin a batch when you have thrown it: so many of one form. Move it on with a tap as "
        "it is trimmed, dry, fired and glazed.",
        "" if over else "Begin a batch",
        "" if over else "firings:new_batch",
    )
    return listing.lay_out(
        request,
        BatchTable,
        rows,
        file_name="batches-over" if over else "on-the-way",
        search=("name", "batch__form__name", "batch__note", "where"),
        filters=(
            Choice("stage", "Stage", field="batch__state"),
            Choice("form", "Form", field="batch__form__name"),
            Days("thrown", "Thrown", field="batch__thrown_on"),
        ),
        empty=empty,
        exclude=("since", "days", "at_hand", "in_kiln") if over else ("out",),
    ).answer(
        "firings/batches.html",
        over=over,
        stages=[] if over else boards.by_stage(rows),
        stretches=[] if over else boards.stretches(boards.measured()),
    )


@owner_page
def new_batch(request: HttpRequest) -> HttpResponse:
    """Begin a batch."""
    now = clock.now()
    form = NewBatchForm(
        request.POST or None, initial={"thrown_on": clock.day_of(now, studio_of(request))}
    )
    if request.method == "POST" and form.is_valid():
        begun = done(
            form, lambda: batching.start_batch(**form.facts(), who=who_is(request), now=now)
        )
        if begun is not None:
            messages.success(request, f"{begun} is on the way: {begun.begun} × {begun.form.name}.")
            return redirect("firings:batch", begun.pk)
    context = {"form": form, "forms": Form.objects.filter(retired=False).exists()}
    return render(request, "firings/new_batch.html", context, status=status_of(form))


@owner_page
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one batch: where its pieces are, its history, and what can be done."""
    return _page(request, _batch(pk))


@owner_page
@require_POST
def move_on(request: HttpRequest, pk: int) -> HttpResponse:
    """Move a batch on, with one tap or with all that is to be said of it."""
    one = _batch(pk)
    form = MoveForm(request.POST, batch=one, auto_id="move_%s")
    return _do(
        request,
        one,
        {"move": form},
        lambda key: batching.move_on(
            key=key,
            batch=one,
            to=form.cleaned_data["to"],
            on=form.cleaned_data["on"],
            lost=form.loss(),
            who=who_is(request),
            now=clock.now(),
        ),
    )


@owner_page
@require_POST
def lose(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what was lost of a batch."""
    one = _batch(pk)
    form = LoseForm(request.POST, auto_id="lose_%s")
    return _do(
        request,
        one,
        {"lose": form},
        lambda key: batching.lose_pieces(
            key=key,
            batch=one,
            lost=form.loss(),
            on=form.cleaned_data["on"],
            who=who_is(request),
            now=clock.now(),
        ),
    )


@owner_page
@require_POST
def call_off_batch(request: HttpRequest, pk: int) -> HttpResponse:
    """Call a batch off."""
    one = _batch(pk)
    form = BatchReasonForm(request.POST, auto_id="off_%s")
    return _do(
        request,
        one,
        {"off": form},
        lambda key: batching.call_off_batch(
            key=key,
            batch=one,
            reason=form.cleaned_data["reason"],
            who=who_is(request),
            now=clock.now(),
        ),
    )


@owner_page
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the last step of a batch back."""
    one = _batch(pk)
    form = TakeBackForm(request.POST, batch=one)
    return _do(
        request,
        one,
        {"back": form},
        lambda key: batching.take_back_step(
            key=key,
            batch=one,
            step=form.cleaned_data["step"],
            who=who_is(request),
            now=clock.now(),
        ),
    )


def _do(
    request: HttpRequest, one: Batch, sent: dict[str, Any], act: Callable[[str], Batch]
) -> HttpResponse:
    """Do what a form of the batch's page asks for; where it can't be done, say why on the page."""
    (form,) = sent.values()
    if form.is_valid():
        changed = done(form, lambda: act(form.cleaned_data["key"]))
        if changed is not None:
            today = clock.day_of(clock.now(), studio_of(request))
            left = "nothing left" if changed.is_over else f"{changed.left} left"
            messages.success(request, f"{changed} is {boards.stands(changed, today)}, {left}.")
            return redirect("firings:batch", one.pk)
    return _page(request, one, **sent)


def _page(request: HttpRequest, one: Batch, **sent: Any) -> HttpResponse:
    """Lay out a batch's page; `sent` is a form that came back refused."""
    today = clock.day_of(clock.now(), studio_of(request))
    steps = boards.history(one)
    last = boards.to_take_back(steps)
    lines = boards.lines_of(one)
    can_move = not one.is_over and one.stage < Stage.GLAZED
    context = {
        "batch": one,
        "stands": boards.stands(one, today),
        "lines": lines,
        "steps": steps,
        "last": last,
        "refused": next(iter(sent.values()), None),
        "move": MoveForm(batch=one, auto_id="move_%s") if can_move else None,
        "lose": LoseForm(auto_id="lose_%s"),
        "off": BatchReasonForm(auto_id="off_%s"),
        "key": new_key,
        "to_bisque": one.to_bisque if one.stage == Stage.DRY else 0,
        "can_lose": bool(one.at_hand) and not one.is_over,
        **sent,
    }
    status = status_of(context["refused"]) if sent else 200
    return render(request, "firings/batch.html", context, status=status)


def _batch(pk: int) -> Batch:
    return get_object_or_404(Batch.objects.select_related("form", "made_by", "ended_by"), pk=pk)
