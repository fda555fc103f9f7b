"""The home page, the first run, and the owner's pages about the studio itself."""

import tempfile
from pathlib import Path

from django.contrib import messages
from django.contrib.auth import login
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock, listing
from vendor.house.access import helper_page, owner_page, public_page
from vendor.house.listing import Choice, Days, Empty
from vendor.house.models import Change, Studio, User
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, studio_or_none, who_is
from vendor.studio import actions, backup, history, queries
from vendor.studio.forms import (
    FirstSettingsForm,
    OwnerForm,
    PasswordForm,
    PersonForm,
    TiersForm,
    WholeSettingsForm,
)
from vendor.studio.tables import ChangesTable


@helper_page
def home(request: HttpRequest) -> HttpResponse:
    """Show the one next thing, what stands in the way, and the season so far."""
    page = queries.home(now=clock.now(), studio=studio_of(request), owner=who_is(request).is_owner)
    return render(request, "studio/home.html", {"page": page})


@public_page
def first_run(request: HttpRequest) -> HttpResponse:
    """Lead the owner through the set-up; once done, lead to the home page."""
    if studio_or_none() is not None:
        return redirect("studio:home")
    told = request.POST if request.method == "POST" else None
    owner = OwnerForm(told, prefix="owner")
    studio = FirstSettingsForm(told, prefix="studio")
    tiers = TiersForm(
        told, prefix="lists", choices=[(tier.name, tier.name) for tier in actions.USUAL_TIERS[1:]]
    )
    if told is not None and all([owner.is_valid(), studio.is_valid(), tiers.is_valid()]):
        chosen = tiers.cleaned_data["tiers"]
        person: User = owner.save(commit=False)
        actions.open_studio(
            studio=studio.save(commit=False),
            owner=person,
            password=owner.cleaned_data["password"],
            tiers=[tier for tier in actions.USUAL_TIERS if tier.is_base or tier.name in chosen],
            now=clock.now(),
        )
        login(request, person, "django.contrib.auth.backends.ModelBackend")
        messages.success(request, "The studio is set up. Next: say what you make.")
        return redirect("studio:home")
    forms = [("You", owner), ("The studio", studio), ("Price lists", tiers)]
    return render(request, "studio/first_run.html", {"forms": forms})


@owner_page
def settings(request: HttpRequest) -> HttpResponse:
    """Show and change the studio's settings."""
    studio = Studio.objects.get(pk=studio_of(request).pk)
    form = WholeSettingsForm(request.POST or None, instance=studio)
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: actions.change_settings(
                studio=form.save(commit=False), who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, "The settings are saved.")
            return redirect("studio:settings")
    return render(request, "studio/settings.html", {"form": form}, status=status_of(form))


@owner_page
def changes(request: HttpRequest) -> HttpResponse:
    """Show who changed what, and when."""
    return listing.lay_out(
        request,
        ChangesTable,
        history.changes(),
        file_name="changes",
        search=("called", "kind", "who__first_name", "who__username"),
        filters=(
            Choice("kind", "Kind", field="kind"),
            Choice("what", "Done", field="what", choices=Change.What.choices),
            Choice("who", "By", field="who__username"),
            Days("at", "Changed", "at", moments=True),
        ),
        empty=Empty(
            "Nothing was changed yet",
            "Forms, prices, fairs, people and settings are written down here as they change.",
            "The studio’s settings",
            "studio:settings",
        ),
    ).answer("studio/changes.html")


@owner_page
def people(request: HttpRequest) -> HttpResponse:
    """Show who can log in, and add somebody."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        person = done(
            form,
            lambda: actions.add_person(
                username=told["username"],
                first_name=told["first_name"],
                role=told["role"],
                password=told["password"],
                key=form.key,
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if person is not None:
            messages.success(request, f"{person.first_name} can log in as {person.username}.")
            return redirect("studio:people")
    everyone = User.objects.order_by("-is_active", "role", "first_name", "pk")
    page = {"form": form, "people": everyone}
    return render(request, "studio/people.html", page, status=status_of(form))


@owner_page
def password(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a person a new password."""
    person = get_object_or_404(User, pk=pk)
    form = PasswordForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.set_password(
            person=person,
            password=form.cleaned_data["password"],
            who=who_is(request),
            now=clock.now(),
        )
        if person.pk == who_is(request).pk:
            login(request, person, "django.contrib.auth.backends.ModelBackend")
        messages.success(request, f"{person} has a new password.")
        return redirect("studio:people")
    return render(request, "studio/password.html", {"form": form, "person": person})


@owner_page
@require_POST
def let_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a person's login away, or give it back."""
    person = get_object_or_404(User, pk=pk)
    if request.POST.get("login") == "away":
        actions.shut_out(person=person, who=who_is(request), now=clock.now())
        messages.success(request, f"{person} can't log in any more.")
    else:
        actions.let_in_again(person=person, who=who_is(request), now=clock.now())
        messages.success(request, f"{person} can log in again.")
    return redirect("studio:people")


@owner_page
@require_POST
def download_backup(request: HttpRequest) -> FileResponse:
    """Hand the owner a copy of the whole studio."""
    folder = tempfile.TemporaryDirectory()
    target = Path(folder.name) / "backup.zip"
    backup.write_backup(target)
    stamp = clock.day_of(clock.now(), studio_of(request)).isoformat()
    response = FileResponse(
        target.open("rb"), as_attachment=True, filename=f"wareboard-{stamp}.zip"
    )
    # The folder goes when the answer has been sent.
    response._resource_closers.append(folder.cleanup)  # type: ignore[attr-defined]
    return response
