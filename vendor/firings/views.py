"""The pages of the kiln: its book, recording and changing a firing, kilns, losses.

All of Fire is the owner's: it shows values, and what it enters becomes stock.
"""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from vendor.firings import actions, areas, batch_loads, boards, queries
from vendor.firings.actions import Spot
from vendor.firings.cones import Cone
from vendor.firings.counting import AfterForm
from vendor.firings.forms import FactsForm, KilnForm
from vendor.firings.loading import LoadsForm
from vendor.firings.models import Firing, Kiln
from vendor.firings.value import GAP_MM, FiringValue
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.models import Studio
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware.models import PriceTier
from vendor.ware.queries import price_book

KINDS = {"glaze": False, "bisque": True}
"""The two ways to record a firing, and whether it carries forms."""


@owner_page
def record(request: HttpRequest, kind: str) -> HttpResponse:
    """Record a firing: its facts, and what went in."""
    if kind not in KINDS:
        raise Http404
    bisque = KINDS[kind]
    now = clock.now()
    things = queries.things_to_load(bisque=bisque)
    sent = request.POST if request.method == "POST" else None
    today = clock.day_of(now, studio_of(request))
    ready = boards.ready(bisque=bisque, today=today)
    form = FactsForm(sent, bisque=bisque, today=today)
    asked = _asked_for(request, ready) if bisque else {}
    loads = LoadsForm(sent, things=things, ready=ready, loaded=asked)
    if sent is not None and all([form.is_valid(), loads.is_valid()]):
        firing = done(
            form,
            lambda: actions.record_firing(
                key=form.cleaned_data["key"],
                facts=form.facts(),
                loads=loads.loads(),
                who=who_is(request),
                now=now,
            ),
        )
        if firing is not None:
            messages.success(request, f"{firing} is in the book. Unload it when it is cool.")
            return redirect("firings:firing", firing.pk)
    return _loading(request, form, loads, f"Record a {kind} firing", reverse("firings:index"))


def _asked_for(request: HttpRequest, ready: list[boards.Ready]) -> dict[Spot, int]:
    """Return the pieces of the batch that the address names: all of them go in."""
    batch = request.GET.get("batch", "")
    return {
        (each.batch.form_id, each.batch.pk): each.pieces
        for each in ready
        if str(each.batch.pk) == batch
    }


@owner_page
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the facts of a firing, or what is in it, before it is unloaded."""
    firing = get_object_or_404(Firing, pk=pk)
    if request.method == "GET" and not firing.is_open:
        messages.info(request, f"{firing} is over: undo the unloading first if it was wrong.")
        return redirect("firings:firing", firing.pk)
    lines = [row.line for row in queries.lines_of(firing)]
    things = queries.things_to_load(bisque=firing.is_bisque, beside=lines)
    sent = request.POST if request.method == "POST" else None
    today = clock.day_of(clock.now(), studio_of(request))
    form = FactsForm(sent, bisque=firing.is_bisque, today=today, firing=firing)
    loaded = {(line.thing_id, line.batch_id): line.loaded for line in lines}
    ready = boards.ready(
        bisque=firing.is_bisque, today=today, beside=batch_loads.batches_of(firing)
    )
    loads = LoadsForm(sent, things=things, ready=ready, loaded=loaded)
    if sent is not None and all([form.is_valid(), loads.is_valid()]):
        changed = done(
            form,
            lambda: actions.change_firing(
                firing=firing,
                facts=form.facts(),
                loads=loads.loads(),
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if changed is not None:
            messages.success(request, f"{changed} is changed.")
            return redirect("firings:firing", firing.pk)
    title = f"Change firing {firing.number}"
    return _loading(request, form, loads, title, reverse("firings:firing", args=[pk]))


def _loading(
    request: HttpRequest, form: FactsForm, loads: LoadsForm, title: str, back: str
) -> HttpResponse:
    """Show the page on which a kiln is loaded."""
    context = {"form": form, "loads": loads, "title": title, "back": back}
    return render(request, "firings/load.html", context, status=status_of(form))


@owner_page
def firing(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one firing: what went in, what came out, what it is worth."""
    found = get_object_or_404(
        Firing.objects.select_related("kiln", "made_by", "unloaded_by", "called_off_by"), pk=pk
    )
    studio = studio_of(request)
    lines = queries.lines_of(found)
    tiers = list(PriceTier.objects.all())
    tier = _chosen_tier(request, tiers)
    context = {
        "firing": found,
        "state": queries.state_of(found),
        "lines": lines,
        "totals": queries.totals_of(lines),
        "readings": queries.readings_of(found),
        "undone": found.undone_unloadings.select_related("made_by", "unloaded_by"),
        "guide": _guide(found, studio),
        "tiers": tiers,
        "tier": tier,
    }
    if tier is not None:
        day = clock.day_of(found.unloaded_at or clock.now(), studio)
        book = price_book(on=day, studio=studio)
        value = queries.value_at(lines, firing=found, tier=tier, tiers=tiers, book=book)
        area = _area(found, value, studio)
        context |= {"value": value, "value_day": day, "area": area, "gap": GAP_MM}
    return render(request, "firings/firing.html", context)


def _chosen_tier(request: HttpRequest, tiers: list[PriceTier]) -> PriceTier | None:
    """Return the price list asked for, else the base list, else any."""
    asked = request.GET.get("tier", "")
    by_key = {str(tier.pk): tier for tier in tiers}
    base = next((tier for tier in tiers if tier.is_base), None)
    return by_key.get(asked) or base or (tiers[0] if tiers else None)


def _area(firing: Firing, value: FiringValue, studio: Studio) -> dict[str, Any]:
    """Return the value by the shelf and the room left, in the studio's own units."""
    whole = firing.kiln.shelf_area_cm2
    if whole is None:
        return {}
    inches = studio.units == Studio.Unit.INCH
    per_unit, unit = areas.value_of_unit(value.best_known, whole, inches=inches)
    return {
        "value": per_unit,
        "unit": unit,
        "spare": areas.in_words(value.spare_cm2, inches=inches),
    }


def _guide(firing: Firing, studio: Studio) -> str:
    """Say about how hot the cone aimed at is, by the studio's units; empty where unknown."""
    cone = Cone.of(firing.cone)
    degrees, unit, rate = (
        (cone.guide_fahrenheit, "°F", 108)
        if studio.units == Studio.Unit.INCH
        else (cone.guide_celsius, "°C", 60)
    )
    if degrees is None:
        return ""
    return f"about {degrees} {unit} where the last stretch rises by {rate} {unit} an hour"


@owner_page
def after(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down the hours, a note, and what the witness cones showed."""
    firing = get_object_or_404(Firing, pk=pk)
    form = AfterForm(request.POST or None, firing=firing)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        by, now = who_is(request), clock.now()
        with transaction.atomic():
            actions.add_facts(
                firing=firing, hours=said["hours"], note=said["note"], who=by, now=now
            )
            actions.read_witness_cones(firing=firing, cones=form.cones(), who=by, now=now)
        messages.success(request, f"Written down for {firing}.")
        return redirect("firings:firing", firing.pk)
    return render(request, "firings/after.html", {"firing": firing, "form": form})


@owner_page
def call_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what calling a firing off means, and do it."""
    firing = get_object_or_404(Firing, pk=pk)
    if request.method == "POST":
        actions.call_off_firing(firing=firing, who=who_is(request), now=clock.now())
        messages.success(request, f"{firing} is called off. It can be taken up again.")
        return redirect("firings:firing", firing.pk)
    return render(request, "firings/call_off.html", {"firing": firing})


@owner_page
@require_POST
def take_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Take up a firing that was called off."""
    firing = actions.take_up_firing(
        firing=get_object_or_404(Firing, pk=pk), who=who_is(request), now=clock.now()
    )
    messages.success(request, f"{firing} is in the book again.")
    return redirect("firings:firing", firing.pk)


@owner_page
def kilns(request: HttpRequest) -> HttpResponse:
    """Show the kilns, and how each of them fires now."""
    inches = studio_of(request).units == Studio.Unit.INCH
    rows = [
        (row, areas.in_words(row.kiln.shelf_area_cm2, inches=inches)) for row in queries.kiln_rows()
    ]
    return render(request, "firings/kilns.html", {"rows": rows})


@owner_page
def kiln(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a kiln, or change one."""
    found = get_object_or_404(Kiln, pk=pk) if pk is not None else Kiln()
    inches = studio_of(request).units == Studio.Unit.INCH
    form = KilnForm(request.POST or None, instance=found, inches=inches)
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: actions.save_kiln(
                kiln=form.kiln(), key=form.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"{saved} is saved.")
            return redirect("firings:kilns")
    return render(
        request, "firings/kiln.html", {"form": form, "kiln": found}, status=status_of(form)
    )
