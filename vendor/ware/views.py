"""The pages of what the studio makes: forms, finishes, ware, photos. The owner's alone."""

import datetime

from django.contrib import messages
from django.db import transaction
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock, listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Empty
from vendor.house.models import User
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware import actions, catalogue, photos
from vendor.ware.forms import FinishForm, FormForm, ManyForm, WareForm
from vendor.ware.models import Finish, Form, Ware
from vendor.ware.tables import CatalogueTable, FinishTable, FormTable


@owner_page
def index(request: HttpRequest) -> HttpResponse:
    """Show all ware with its base price."""
    studio = studio_of(request)
    return listing.lay_out(
        request,
        CatalogueTable,
        catalogue.catalogue(on=clock.day_of(clock.now(), studio), studio=studio),
        file_name="ware",
        search=("ware__name", "ware__code", "ware__note"),
        filters=(
            Choice("form", "Form", field="ware__form__name"),
            Choice("finish", "Finish", field="ware__finish__name"),
            Choice(
                "state",
                "State",
                options={
                    "made": ("made now", lambda row: not row.ware.retired),
                    "one": ("one of a kind", lambda row: row.ware.one_of_a_kind),
                    "retired": ("retired", lambda row: row.ware.retired),
                    "unpriced": ("without a price", lambda row: row.price is None),
                },
            ),
        ),
        empty=Empty(
            "No ware yet",
            "Ware is a form in a finish: say first which forms you make and which finishes you "
            "use, then tick what goes together.",
            "Add a form",
            "ware:new_form",
        ),
    ).answer("ware/index.html", forms=Form.objects.filter(retired=False))


@owner_page
def forms(request: HttpRequest) -> HttpResponse:
    """Show all forms."""
    return listing.lay_out(
        request,
        FormTable,
        Form.objects.annotate(made_in=Count("ware")).order_by("name"),
        file_name="forms",
        search=("name", "code", "category"),
        filters=(Choice("category", "Category", field="category"),),
        empty=Empty("No form yet", "A form is a shape that you make.", "Add one", "ware:new_form"),
    ).answer("ware/forms.html")


@owner_page
def form(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a form, or change one."""
    found = get_object_or_404(Form, pk=pk) if pk is not None else Form()
    filled = FormForm(request.POST or None, instance=found, studio=studio_of(request))
    if request.method == "POST" and filled.is_valid():
        saved = done(
            filled,
            lambda: actions.save_form(
                form=filled.instance, key=filled.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"{saved} is saved under the code {saved.code}.")
            return redirect("ware:form", saved.pk)
    context = {
        "form": filled,
        "shape": found,
        "ware": Ware.objects.named().filter(form=found) if found.pk else [],
        "prices": catalogue.price_history(form=found) if found.pk else [],
    }
    return render(request, "ware/form.html", context, status=status_of(filled))


@owner_page
def finishes(request: HttpRequest) -> HttpResponse:
    """Show all finishes, with what is known of their contact with food."""
    return listing.lay_out(
        request,
        FinishTable,
        Finish.objects.annotate(made_in=Count("ware")).order_by("name"),
        file_name="finishes",
        search=("name", "code", "food_note"),
        filters=(
            Choice(
                "food", "Food contact", field="food_contact", choices=Finish.FoodContact.choices
            ),
        ),
        empty=Empty(
            "No finish yet", "A finish is a glaze or a decoration.", "Add one", "ware:new_finish"
        ),
    ).answer("ware/finishes.html")


@owner_page
def finish(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a finish, or change one."""
    found = get_object_or_404(Finish, pk=pk) if pk is not None else Finish()
    filled = FinishForm(request.POST or None, instance=found)
    if request.method == "POST" and filled.is_valid():
        saved = done(
            filled,
            lambda: actions.save_finish(
                finish=filled.instance, key=filled.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"{saved} is saved under the code {saved.code}.")
            return redirect("ware:finishes")
    context = {"form": filled, "finish": found}
    return render(request, "ware/finish.html", context, status=status_of(filled))


@owner_page
def make(request: HttpRequest, pk: int) -> HttpResponse:
    """Make ware of one form in all the finishes that are ticked."""
    shape = get_object_or_404(Form, pk=pk)
    filled = ManyForm(request.POST or None, form=shape)
    if request.method == "POST" and filled.is_valid():
        chosen = list(filled.cleaned_data["finishes"])
        made = done(
            filled,
            lambda: actions.make_ware(
                form=shape,
                finishes=chosen,
                key=filled.cleaned_data["key"],
                who=who_is(request),
                now=clock.now(),
            ),
        )
        if made is not None:
            codes = ", ".join(ware.code for ware in made)
            messages.success(request, f"{shape} is made in {len(made)} more: {codes}.")
            return redirect("ware:form", shape.pk)
    context = {
        "form": filled,
        "shape": shape,
        "any_left": filled.left.exists(),
    }
    return render(request, "ware/make.html", context, status=status_of(filled))


@owner_page
def ware(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add one ware, such as a piece of which there is one, or change one."""
    found = get_object_or_404(Ware.objects.named(), pk=pk) if pk is not None else Ware()
    first = {} if found.pk else {"one_of_a_kind": True}
    filled = WareForm(request.POST or None, request.FILES or None, instance=found, initial=first)
    if request.method == "POST" and filled.is_valid():
        saved = done(filled, lambda: _saved(filled, who_is(request), clock.now()))
        if saved is not None:
            messages.success(request, f"{saved} is saved under the code {saved.code}.")
            return redirect("ware:ware", saved.pk)
    # A form that was refused has written on the row already: show what is kept.
    kept = Ware.objects.named().filter(pk=found.pk).first() if found.pk else None
    prices = catalogue.price_history(ware=kept) if kept else []
    context = {"form": filled, "ware": kept, "prices": prices}
    return render(request, "ware/ware.html", context, status=status_of(filled))


def _saved(filled: WareForm, who: User, now: datetime.datetime) -> Ware:
    """Save a ware with its photo, both or neither."""
    picture = filled.cleaned_data["picture"]
    content = photos.redrawn(picture, picture.size) if picture else None
    with photos.files_as_rows(), transaction.atomic():
        saved = actions.save_ware(ware=filled.instance, key=filled.key, who=who, now=now)
        if content is not None:
            photos.put_photo(ware=saved, content=content, who=who, now=now)
    return saved


@owner_page
@require_POST
def take_photo_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a ware's photo away."""
    found = photos.take_photo_away(
        ware=get_object_or_404(Ware.objects.named(), pk=pk), who=who_is(request), now=clock.now()
    )
    messages.success(request, f"{found} is drawn as a pot again.")
    return redirect("ware:ware", pk)
