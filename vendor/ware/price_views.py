"""The pages of price lists and prices. The owner's alone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from vendor.house import clock, listing
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Empty
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware import catalogue, price_actions
from vendor.ware.models import Form, PriceTier, Ware
from vendor.ware.price_forms import PricesForm, TierForm
from vendor.ware.tables import price_table


@owner_page
def prices(request: HttpRequest) -> HttpResponse:
    """Show the price of all ware in every list."""
    studio = studio_of(request)
    tiers = list(PriceTier.objects.all())
    today = clock.day_of(clock.now(), studio)
    return listing.lay_out(
        request,
        price_table(tiers),
        catalogue.price_rows(tiers, on=today, studio=studio),
        file_name="prices",
        search=("ware__name", "ware__code"),
        filters=(
            Choice("form", "Form", field="ware__form__name"),
            Choice("finish", "Finish", field="ware__finish__name"),
        ),
        empty=Empty("No ware to price yet", "Say first what you make.", "Ware", "ware:index"),
    ).answer("ware/prices.html", tiers=tiers, today=today)


@owner_page
def tier(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Add a price list, or change one."""
    found = get_object_or_404(PriceTier, pk=pk) if pk is not None else PriceTier()
    form = TierForm(request.POST or None, instance=found, studio=studio_of(request))
    if request.method == "POST" and form.is_valid():
        saved = done(
            form,
            lambda: price_actions.save_tier(
                tier=form.instance, key=form.key, who=who_is(request), now=clock.now()
            ),
        )
        if saved is not None:
            messages.success(request, f"The price list {saved} is saved.")
            return redirect("ware:prices")
    context = {"form": form, "tier": found}
    return render(request, "ware/tier.html", context, status=status_of(form))


@owner_page
def tier_prices(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the prices of one list, by form and by ware, from a day on."""
    found = get_object_or_404(PriceTier, pk=pk)
    studio, now = studio_of(request), clock.now()
    today = clock.day_of(now, studio)
    form = PricesForm(
        request.POST or None,
        studio=studio,
        today=today,
        forms_=list(Form.objects.filter(retired=False).order_by("name")),
        ware=list(Ware.objects.current().named()),
        own=catalogue.own_prices(found, on=today),
    )
    if request.method == "POST" and form.is_valid():
        written = done(
            form,
            lambda: price_actions.set_prices(
                tier=found,
                prices=form.prices(),
                from_date=form.cleaned_data["from_date"],
                today=today,
                who=who_is(request),
                now=now,
            ),
        )
        if written is not None:
            told = f"{len(written)} changed" if written else "No price changed"
            messages.success(request, f"Prices of {found}: {told}.")
            return redirect("ware:prices")
    context = {"form": form, "tier": found}
    return render(request, "ware/tier_prices.html", context, status=status_of(form))
