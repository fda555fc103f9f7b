"""The page on which cash goes into or out of the till other than by a sale."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from vendor.counter import cashbox, queries
from vendor.counter.models import TillMovement
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.studio import studio_of, who_is


class CashMovedForm(forms.Form):
    """What went into or out of the till, and what for."""

    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    weekend = forms.ChoiceField(label="Weekend")
    kind = forms.ChoiceField(
        label="What it is", choices=TillMovement.Kind.choices, widget=forms.RadioSelect
    )
    amount = MoneyField()
    reason = forms.CharField(
        max_length=200, required=False, label="What for", help_text="Not needed for the float."
    )

    def __init__(
        self, *args: Any, studio: Studio, standings: list[queries.Standing], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)
        weekend = self.fields["weekend"]
        assert isinstance(weekend, forms.ChoiceField)
        weekend.choices = [
            (str(each.weekend.pk), f"{each.weekend.fair}, {each.weekend.span}")
            for each in standings
        ]


@helper_page
def cash(request: HttpRequest) -> HttpResponse:
    """Show what went into and out of the till, and enter the float, paid in or paid out."""
    studio = studio_of(request)
    now = clock.now()
    standings = queries.standings(today=clock.day_of(now, studio))
    moved = TillMovement.objects.filter(
        weekend__in=[each.weekend.pk for each in standings]
    ).select_related("made_by")
    first = "paid_out" if any(each.kind == "float" for each in moved) else "float"
    form = CashMovedForm(
        request.POST or None,
        studio=studio,
        standings=standings,
        initial={"key": new_key(), "kind": first},
    )
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        weekends = {str(each.weekend.pk): each.weekend for each in standings}
        try:
            done = cashbox.move_cash(
                key=told["key"],
                weekend=weekends[told["weekend"]],
                kind=told["kind"],
                amount=told["amount"],
                reason=told["reason"],
                who=who_is(request),
                now=now,
            )
        except Refused as refusal:
            form.add_error(None, refusal.message)
        else:
            messages.success(request, f"{done.get_kind_display()} is in the book.")
            return redirect("counter:cash")
    return render(
        request, "counter/cash.html", {"form": form, "moved": moved, "standings": standings}
    )
