"""The page on which cash goes into or out of the till other than by a sale, and its cash boxes."""

import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from vendor.counter import cashbox, deposits, queries
from vendor.counter.models import Deposit, TillMovement
from vendor.counter.till import FIRST_TILL, Till, name_of, names_of
from vendor.fairs.models import Weekend
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.refusing import done, saying_why
from vendor.house.studio import studio_of, who_is

MOVED = "moved"
Boxes = dict[int, str]


class CashMovedForm(forms.Form):
    """What went into or out of the till, and what for; with several boxes also which."""

    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    weekend = forms.ChoiceField(label="Weekend")
    till = forms.TypedChoiceField(label="Cash box", coerce=int)
    kind = forms.ChoiceField(label="What it is", widget=forms.RadioSelect)
    target = forms.TypedChoiceField(
        label="Moved to", coerce=int, required=False,
        help_text="Only where it went from one cash box to another.",
    )  # fmt: skip
    amount = MoneyField()
    reason = forms.CharField(
        max_length=200, required=False, label="What for", help_text="Not needed for the float."
    )
    day = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        studio: Studio,
        standings: list[queries.Standing],
        boxes: Boxes,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)
        self._choose("weekend", [(str(each.weekend.pk), _said(each.weekend)) for each in standings])
        kinds = list(TillMovement.Kind.choices)
        named = [(str(number), name) for number, name in boxes.items()]
        if len(boxes) > 1:
            kinds.append((MOVED, "Moved to another cash box"))
            self._choose("till", named)
            self._choose("target", [("", "none"), *named])
        else:
            del self.fields["till"], self.fields["target"]
        self._choose("kind", kinds)

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        field = self.fields[name]
        assert isinstance(field, forms.ChoiceField)
        field.choices = choices


@helper_page
def cash(request: HttpRequest) -> HttpResponse:
    """Show what went into and out of the till, and enter the float, paid in or paid out."""
    studio = studio_of(request)
    now = clock.now()
    standings = queries.standings(today=clock.day_of(now, studio))
    boxes = _boxes(standings)
    moved = TillMovement.objects.filter(
        weekend__in=[each.weekend.pk for each in standings]
    ).select_related("made_by")
    first = "paid_out" if any(each.kind == "float" for each in moved) else "float"
    about = {name: request.GET[name] for name in ("till", "day") if name in request.GET}
    form = CashMovedForm(
        request.POST or None,
        studio=studio,
        standings=standings,
        boxes=boxes,
        initial={"key": new_key(), "kind": first, **about},
    )
    if request.method == "POST" and form.is_valid():
        weekends = {str(each.weekend.pk): each.weekend for each in standings}
        entered = done(form, lambda: _enter(request, form.cleaned_data, weekends, now))
        if entered is not None:
            messages.success(request, f"{entered.get_kind_display()} is in the book.")
            return redirect("counter:cash")
    context = {
        "form": form, "standings": standings, "boxes": boxes, "key": new_key(),
        "deposits": Deposit.objects.filter(
            weekend__in=[each.weekend.pk for each in standings]
        ).select_related("seller"),
        "held": deposits.held(),
        "day": _day(request.GET.get("day", "")),
        "moved": [(each, name_of(each.till, boxes) if len(boxes) > 1 else "") for each in moved],
    }  # fmt: skip
    return render(request, "counter/cash.html", context)


@helper_page
@require_POST
def add_till(request: HttpRequest) -> HttpResponse:
    """Open another cash box for a weekend."""
    now = clock.now()
    standings = queries.standings(today=clock.day_of(now, studio_of(request)))
    weekends = {str(each.weekend.pk): each.weekend for each in standings}
    weekend = weekends.get(request.POST.get("weekend", ""))
    if weekend is None:
        messages.error(request, "That weekend is not open any more. Nothing was changed.")
        return redirect("counter:cash")
    with saying_why(request):
        cashbox.add_till(
            key=request.POST.get("key", "")[:40] or new_key(),
            weekend=weekend,
            name=request.POST.get("name", ""),
            who=who_is(request),
            now=now,
        )
        messages.success(
            request,
            "The cash box is there: choose on each device which one it works with, and enter its "
            "float.",
        )
    return redirect("counter:cash")


def _enter(
    request: HttpRequest, told: dict[str, Any], weekends: dict[str, Weekend], now: datetime.datetime
) -> TillMovement:
    said: dict[str, Any] = {
        "key": told["key"], "weekend": weekends[told["weekend"]], "amount": told["amount"],
        "reason": told["reason"], "who": who_is(request), "now": now,
    }  # fmt: skip
    said["day"] = told["day"]
    till = told.get("till", FIRST_TILL)
    if told["kind"] == MOVED:
        return cashbox.move_between(**said, source=till, target=told["target"] or till)
    return cashbox.move_cash(**said, kind=told["kind"], till=till)


def _day(text: str) -> datetime.date | None:
    """Return the day that an address names, None where it names none."""
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None


def _boxes(standings: list[queries.Standing]) -> Boxes:
    """Return the cash boxes of the weekends to sell on, by number (one statement)."""
    if len(standings) == 1:
        return names_of(standings[0].weekend)
    found = {FIRST_TILL: {name_of(FIRST_TILL, {})}}
    for till in Till.objects.filter(weekend__in=[each.weekend.pk for each in standings]):
        found.setdefault(till.number, set()).add(till.name)
    return {number: " / ".join(sorted(names)) for number, names in sorted(found.items())}


def _said(weekend: Weekend) -> str:
    return f"{weekend.fair}, {weekend.span}"
