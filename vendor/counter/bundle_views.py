"""The page of the bundles: which hold, a new one, ending one."""

import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from vendor.counter import bundling
from vendor.counter.bundles import Bundle
from vendor.fairs.models import Fair
from vendor.house import clock, dates
from vendor.house.access import owner_page
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware.models import Form, Ware

DAY = datetime.timedelta(days=1)


class BundleForm(forms.Form):
    """So many of what for how much, from when to when."""

    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    form = forms.ModelChoiceField(
        Form.objects.filter(retired=False),
        required=False,
        empty_label="None: one ware",
        label="Form",
        help_text="All its finishes count together. Leave it empty for one ware.",
    )
    ware = forms.ModelChoiceField(
        Ware.objects.current().named(),
        required=False,
        empty_label="None: a whole form",
        label="Or one ware",
    )
    quantity = forms.IntegerField(label="How many together", min_value=2, max_value=100, initial=3)
    price = MoneyField(label="For all of them together")
    from_date = forms.DateField(
        label="From", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    to_date = forms.DateField(
        label="Through",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Empty: until you end it.",
    )
    fair = forms.ModelChoiceField(
        Fair.objects.all(), required=False, label="At", empty_label="Every fair"
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)


@owner_page
@require_http_methods(["GET", "POST"])
def bundles(request: HttpRequest) -> HttpResponse:
    """Show the bundles and make one."""
    studio, now = studio_of(request), clock.now()
    today = clock.day_of(now, studio)
    form = BundleForm(
        request.POST or None, studio=studio, initial={"key": new_key(), "from_date": today}
    )
    if request.method == "POST" and form.is_valid():
        rule = done(
            form,
            lambda: bundling.make_bundle(**form.cleaned_data, who=who_is(request), now=now),
        )
        if rule is not None:
            messages.success(request, f"{rule} is a bundle from {dates.day(rule.from_date)}.")
            return redirect("counter:bundles")
    rules = Bundle.objects.select_related("form", "ware__form", "ware__finish", "fair")
    page = {"form": form, "rules": rules, "today": today}
    return render(request, "counter/bundles.html", page, status=status_of(form))


@owner_page
@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a bundle with yesterday."""
    rule = get_object_or_404(Bundle, pk=pk)
    now = clock.now()
    yesterday = clock.day_of(now, studio_of(request)) - DAY
    bundling.end_bundle(bundle=rule, last=yesterday, who=who_is(request), now=now)
    messages.success(request, f"{rule} is no bundle any more.")
    return redirect("counter:bundles")
