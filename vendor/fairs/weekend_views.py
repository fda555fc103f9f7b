"""The owner's pages about fairs and their weekends."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.fairs import actions
from vendor.fairs.forms import CrowdForm, FairForm, PlanForm, day_forms
from vendor.fairs.models import Fair, Weekend
from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.money import format_rate
from vendor.house.refusing import done, saying_why
from vendor.house.studio import studio_of, who_is


@owner_page
def new_fair(request: HttpRequest) -> HttpResponse:
    """Open a fair."""
    form = FairForm(request.POST or None, studio=studio_of(request))
    if request.method == "POST" and form.is_valid():
        made = done(
            form,
            lambda: actions.open_fair(
                name=form.cleaned_data["name"],
                terms=form.terms(),
                note=form.cleaned_data["note"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if made is not None:
            messages.success(request, f"{made} is there. Next: plan its weekends.")
            return redirect("fairs:fair", made.pk)
    return render(request, "fairs/edit_fair.html", {"form": form})


@owner_page
def edit_fair(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a fair's terms; sales that were taken keep theirs."""
    fair = get_object_or_404(Fair.objects.select_related("tier", "stall"), pk=pk)
    form = FairForm(request.POST or None, studio=studio_of(request), fair=fair)
    if request.method == "POST" and form.is_valid():
        changed = done(
            form,
            lambda: actions.change_fair(
                fair=fair,
                name=form.cleaned_data["name"],
                terms=form.terms(),
                note=form.cleaned_data["note"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if changed is not None:
            messages.success(request, "The fair is changed. Sales taken so far keep their terms.")
            return redirect("fairs:fair", fair.pk)
    return render(request, "fairs/edit_fair.html", {"form": form, "fair": fair})


@owner_page
def fair(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a fair and its weekends, and plan more of them."""
    shown = get_object_or_404(Fair.objects.select_related("tier", "stall"), pk=pk)
    form = PlanForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        planned = done(
            form,
            lambda: actions.plan_weekends(
                fair=shown, who=who_is(request), now=clock.now(), **form.cleaned_data
            ),
        )
        if planned is not None:
            messages.success(request, f"Planned, from {planned[0].span} to {planned[-1].span}.")
            return redirect("fairs:fair", shown.pk)
    studio = studio_of(request)
    context = {
        "fair": shown,
        "weekends": shown.weekends.select_related("fair__stall").prefetch_related("days"),
        "form": form,
        "rate": format_rate(shown.tax_rate_ppm, studio.language),
        "today": clock.day_of(clock.now(), studio),
    }
    return render(request, "fairs/fair.html", context)


@owner_page
def weekend(request: HttpRequest, pk: int) -> HttpResponse:
    """Show and change a weekend's days, hours and crowd."""
    shown = get_object_or_404(Weekend.objects.select_related("fair__stall"), pk=pk)
    told = request.POST if request.method == "POST" else None
    days = day_forms(shown, told)
    crowd = CrowdForm(told, initial={"crowd_percent": shown.crowd_percent})
    if told is not None and all([crowd.is_valid(), *[day.is_valid() for day in days]]):
        changed = done(
            crowd,
            lambda: actions.change_weekend(
                weekend=shown,
                days=[each for day in days if (each := day.open_day())],
                crowd_percent=crowd.cleaned_data["crowd_percent"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if changed is not None:
            messages.success(request, "The weekend is changed.")
            return redirect("fairs:fair", shown.fair_id)
    return render(request, "fairs/weekend.html", {"weekend": shown, "days": days, "crowd": crowd})


@owner_page
@require_POST
def drop_weekend(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a weekend off the plan."""
    dropped = get_object_or_404(Weekend, pk=pk)
    with saying_why(request):
        actions.drop_weekend(weekend=dropped, who=who_is(request), now=clock.now())
        messages.success(request, f"The weekend of {dropped.span} is off the plan.")
    return redirect("fairs:fair", dropped.fair_id)
