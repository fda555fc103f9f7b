"""The pages on which a kiln is counted out, and on which a wrong count is undone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.firings import queries, unloading
from vendor.firings.counting import UndoForm, UnloadForm
from vendor.firings.models import Firing
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.refusing import done, status_of
from vendor.house.studio import who_is


@owner_page
def unload(request: HttpRequest, pk: int) -> HttpResponse:
    """Count a firing out, line by line, and put it on the studio shelf."""
    firing = get_object_or_404(Firing.objects.select_related("kiln"), pk=pk)
    sent = request.POST if request.method == "POST" else None
    if sent is None and not firing.is_open:
        # The way back from an unloading leads here; it is no error, only over.
        messages.info(request, f"{firing} is not to be unloaded any more.")
        return redirect("firings:firing", firing.pk)
    lines = [row.line for row in queries.lines_of(firing)]
    form = UnloadForm(sent, lines=lines, turn=firing.undone_unloadings.count())
    if form.is_valid():
        unloaded = done(
            form,
            lambda: unloading.unload_firing(
                firing=firing,
                counts=form.counts(),
                who=who_is(request),
                now=clock.now(),
                turn=form.cleaned_data["turn"],
            ),
        )
        if unloaded is not None:
            messages.success(request, _told(unloaded))
            return redirect("firings:firing", firing.pk)
    context = {"firing": firing, "form": form}
    return render(request, "firings/unload.html", context, status=status_of(form))


def _told(firing: Firing) -> str:
    """Say what an unloading brought, and where it is."""
    totals = queries.totals_of(queries.lines_of(firing))
    counted = f"{totals.firsts} firsts, {totals.seconds} seconds, {totals.lost} lost."
    if firing.entry_id is not None:
        return f"{firing} is unloaded on to the studio shelf: {counted}"
    return f"{firing} is counted out: {counted} Nothing went on to the studio shelf."


@owner_page
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what undoing an unloading changes, ask why, and do it."""
    firing = get_object_or_404(Firing, pk=pk)
    turn = firing.undone_unloadings.count()
    form = UndoForm(request.POST or None, initial={"turn": turn})
    if request.method == "POST" and form.is_valid():
        undone = done(
            form,
            lambda: unloading.undo_unloading(
                firing=firing,
                who=who_is(request),
                now=clock.now(),
                reason=form.cleaned_data["reason"],
                turn=form.cleaned_data["turn"],
            ),
        )
        if undone is not None:
            messages.success(request, f"The unloading of {firing} is undone. Count it afresh.")
            return redirect("firings:firing", firing.pk)
    context = {
        "firing": firing,
        "form": form,
        "pieces": queries.unloaded_pieces(firing),
    }
    return render(request, "firings/undo.html", context, status=status_of(form))
