"""Early releases and the online bin: setting aside, selling, giving back."""

import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from vendor.house import clock, spreadsheet
from vendor.house.access import owner_page
from vendor.house.listing import Choice, Days, Empty, lay_out
from vendor.house.models import Studio
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ledger.actions import Line
from vendor.supporters import offering, online, shop, spare
from vendor.supporters.forms import ReasonForm
from vendor.supporters.models import EarlyRelease, ShopSale
from vendor.supporters.offer_forms import PieceForm, PieceReasonForm, ReleaseForm, SaleForm
from vendor.supporters.rule_forms import fresh_key
from vendor.supporters.tables import ShopSaleTable
from vendor.supporters.views.asked import key_of, read, today_of, told
from vendor.ware.models import PriceTier

EACH = 2
# Of the numbers typed in on the online page, those that name a ware.
FIELD = "add-"


@owner_page
def releases(request: HttpRequest) -> HttpResponse:
    """List the early releases, and plan one."""
    today = today_of(request)
    form = ReleaseForm(request.POST or None, initial={"opens_on": today})
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        made = done(
            form,
            lambda: offering.open_early_release(**facts, who=who_is(request), now=clock.now()),
        )
        if made is not None:
            messages.success(request, f"“{made}” is planned. Now set pieces aside for it.")
            return redirect("supporters:release_page", made.pk)
    context = {"form": form, "releases": EarlyRelease.objects.all(), "today": today}
    return render(request, "supporters/releases.html", context, status=status_of(form))


@owner_page
def release(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one release: what it offers, the text for a letter, and what can be done."""
    one, today, studio = _release(pk), today_of(request), studio_of(request)
    offers = shop.on_offer(one, today, studio)
    context = {
        "release": one,
        "is_open": one.is_open(today),
        "offers": offers,
        "text": shop.text_of(one, offers, studio),
        "aside": PieceForm(auto_id="aside_%s"),
        "sale": _sale_form(offers, today, studio),
        "give_back": PieceReasonForm(auto_id="back_%s"),
        "end": ReasonForm(auto_id="end_%s"),
        "overridden": shop.sold_all_the_same(one),
        "sales": one.sales.select_related("ware__form", "ware__finish"),
    }
    return render(request, "supporters/release.html", context)


@owner_page
@require_POST
@told
def release_act(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Set pieces aside for a release, sell or give some back, or end it."""
    one = _release(pk)
    more: dict[str, Any] = {"release": one, "who": who_is(request), "now": clock.now()}
    forms_of: dict[str, forms.Form] = {
        "set-aside": PieceForm(request.POST),
        "sell": SaleForm(request.POST, studio=studio_of(request)),
        "give-back": PieceReasonForm(request.POST),
        "end": ReasonForm(request.POST),
    }
    facts = read(request, forms_of[act])
    if facts is not None:
        if act == "set-aside":
            offering.set_aside(**facts, **more)
        elif act == "sell":
            online.sell_set_aside(**facts, **more, tier_name=one.tier.name)
        elif act == "give-back":
            offering.give_back(**facts, **more)
        else:
            offering.end_early_release(**more, reason=facts["reason"])
        messages.success(request, "Written down.")
    return redirect("supporters:release_page", pk)


@owner_page
def release_file(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Return what a release offers as a spreadsheet for a shop."""
    one, studio = _release(pk), studio_of(request)
    rows = shop.rows_for_a_shop(shop.on_offer(one, today_of(request), studio), studio)
    kind = kind if kind in spreadsheet.FORMATS else spreadsheet.CSV
    return spreadsheet.response(kind, f"early-release-{one.pk}", shop.SHOP_HEAD, rows)


@owner_page
def online_page(request: HttpRequest) -> HttpResponse:
    """Choose what goes online after the fair's need, and show what is there.

    `need` may be given in the address, once for each ware: need=12:3 keeps three of ware 12.
    """
    today, studio = today_of(request), studio_of(request)
    tier = PriceTier.objects.filter(name__iexact="online").first()
    need = spare.read_need(request.GET.getlist("need"))
    offers = shop.in_the_bin(tier or PriceTier.objects.filter(is_base=True).first(), today, studio)
    context = {
        "offers": offers,
        "choices": shop.to_put_online(need, each=EACH),
        "has_need": bool(need),
        "key": fresh_key,
        "sale": _sale_form(offers, today, studio),
        "give_back": PieceReasonForm(auto_id="back_%s"),
    }
    return render(request, "supporters/online.html", context)


@owner_page
@require_POST
@told
def put_online(request: HttpRequest) -> HttpResponse:
    """Carry the chosen pieces to the online bin."""
    lines = [
        Line(ware_id, pieces)
        for ware_id, pieces in spare.read_need(
            f"{name.removeprefix(FIELD)}:{count}"
            for name, count in request.POST.items()
            if name.startswith(FIELD)
        ).items()
    ]
    count = online.put_online(
        key=key_of(request), lines=lines, who=who_is(request), now=clock.now()
    )
    messages.success(request, f"{count} pieces are in the online bin.")
    return redirect("supporters:online")


@owner_page
@require_POST
@told
def online_act(request: HttpRequest, act: str) -> HttpResponse:
    """Record an online sale, or bring pieces back to the shelf."""
    more: dict[str, Any] = {"who": who_is(request), "now": clock.now()}
    if act == "sell":
        facts = read(request, SaleForm(request.POST, studio=studio_of(request)))
        if facts is not None:
            online.sell_set_aside(**facts, **more, tier_name="Online")
            messages.success(request, "The sale is written down.")
    else:
        facts = read(request, PieceReasonForm(request.POST))
        if facts is not None:
            online.take_offline(**facts, **more)
            messages.success(request, "They are back on the studio shelf.")
    return redirect("supporters:online")


@owner_page
def shop_sales(request: HttpRequest) -> HttpResponse:
    """List what was sold of what had been set aside."""
    return lay_out(
        request,
        ShopSaleTable,
        ShopSale.objects.filter(undone_at__isnull=True).select_related(
            "ware__form", "ware__finish"
        ),
        file_name="set-aside-sales",
        search=("ware__form__name", "ware__finish__name", "reference"),
        filters=(
            Choice("channel", "Sold", field="channel", choices=ShopSale.Channel.choices),
            Days("sold", "Sold", "sold_on"),
        ),
        empty=Empty("Nothing sold yet", "Sales of early releases and of the online bin."),
    ).answer("supporters/shop_sales.html")


@owner_page
def shop_sale(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one sale, which can be undone."""
    one = get_object_or_404(
        ShopSale.objects.select_related("ware__form", "ware__finish", "release"), pk=pk
    )
    context = {"sale": one, "reason": ReasonForm(request.POST or None)}
    return render(request, "supporters/shop_sale.html", context)


@owner_page
@require_POST
@told
def undo_sale(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a sale."""
    one = get_object_or_404(ShopSale, pk=pk)
    facts = read(request, ReasonForm(request.POST))
    if facts is not None:
        online.undo_sale(sale=one, who=who_is(request), now=clock.now(), **facts)
        messages.success(request, "The sale is undone; its pieces are back.")
    return redirect("supporters:shop_sale", pk)


def _release(pk: int) -> EarlyRelease:
    return get_object_or_404(EarlyRelease.objects.select_related("tier"), pk=pk)


def _sale_form(offers: list[shop.OnOffer], today: datetime.date, studio: Studio) -> SaleForm:
    first = next((each for each in offers if each.count), None)
    initial: dict[str, Any] = {"sold_on": today}
    if first is not None:
        initial |= {
            "ware": first.ware.pk,
            "grade": first.grade,
            "price": first.price,
        }
    return SaleForm(auto_id="sale_%s", studio=studio, initial=initial)
