"""The supporters themselves: the list, one supporter's page, and writing one down."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.house import clock
from vendor.house.access import owner_page
from vendor.house.studio import who_is
from vendor.supporters import actions, queries
from vendor.supporters.forms import SupporterForm
from vendor.supporters.models import Supporter
from vendor.supporters.views.asked import today_of


@owner_page
def supporters(request: HttpRequest) -> HttpResponse:
    """List the supporters with what they are owed."""
    rows = queries.supporters(today_of(request))
    return render(request, "supporters/supporters.html", {"rows": rows})


@owner_page
def supporter(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one supporter: contact, address, promises."""
    one = get_object_or_404(Supporter, pk=pk)
    promises = one.commitments.named().order_by("-number")
    return render(request, "supporters/supporter.html", {"supporter": one, "promises": promises})


@owner_page
def new_supporter(request: HttpRequest) -> HttpResponse:
    """Write a supporter down."""
    # Sent again, the form is checked against the supporter that it made the first time.
    before = Supporter.objects.filter(key=request.POST.get("key", "")).first()
    form = SupporterForm(request.POST or None, instance=before)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        made = actions.add_supporter(
            key=told["key"],
            name=told["name"],
            email=told["email"],
            address=told["address"],
            note=told["note"],
            who=who_is(request),
            now=clock.now(),
        )
        messages.success(request, f"{made} is written down.")
        return redirect("supporters:supporter", made.pk)
    return render(request, "supporters/edit.html", {"form": form, "supporter": None})


@owner_page
def edit_supporter(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a supporter."""
    one = get_object_or_404(Supporter.objects.known(), pk=pk)
    form = SupporterForm(request.POST or None, instance=Supporter.objects.get(pk=pk))
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        actions.change_supporter(
            supporter=one,
            name=told["name"],
            email=told["email"],
            address=told["address"],
            note=told["note"],
        )
        messages.success(request, "Saved.")
        return redirect("supporters:supporter", pk)
    return render(request, "supporters/edit.html", {"form": form, "supporter": one})
