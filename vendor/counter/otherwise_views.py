"""The page on which pieces come and go at the stall other than by a sale."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from vendor.counter import otherwise, queries
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.models import new_key
from vendor.house.refusing import done, status_of
from vendor.house.studio import studio_of, who_is
from vendor.ware.models import Grade, Ware


class OtherwiseForm(forms.Form):
    """What happened to how many pieces of which ware, and why."""

    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    weekend = forms.ChoiceField(label="At the stall of")
    happening = forms.ChoiceField(
        label="What happened", choices=otherwise.HAPPENINGS, widget=forms.RadioSelect
    )
    ware = forms.ModelChoiceField(Ware.objects.current().named(), empty_label="Choose one")
    grade = forms.ChoiceField(choices=Grade.choices, initial=Grade.FIRST)
    quantity = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=999,
        initial=1,
        widget=forms.NumberInput(attrs={"class": "count"}),
    )
    reason = forms.CharField(label="How it came about", max_length=200)

    def __init__(self, *args: Any, standings: list[queries.Standing], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        weekend = self.fields["weekend"]
        assert isinstance(weekend, forms.ChoiceField)
        weekend.choices = [
            (str(each.weekend.pk), f"{each.weekend.fair}, {each.weekend.span}")
            for each in standings
        ]


@helper_page
@require_http_methods(["GET", "POST"])
def pieces(request: HttpRequest) -> HttpResponse:
    """Enter pieces that broke, were given away, were found, or are seconds from now on."""
    now = clock.now()
    standings = queries.standings(today=clock.day_of(now, studio_of(request)))
    form = OtherwiseForm(request.POST or None, standings=standings, initial={"key": new_key()})
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        weekends = {str(each.weekend.pk): each.weekend for each in standings}
        entry = done(
            form,
            lambda: otherwise.enter(
                key=told["key"],
                weekend=weekends[told["weekend"]],
                happening=told["happening"],
                ware=told["ware"],
                grade=told["grade"],
                quantity=told["quantity"],
                reason=told["reason"],
                who=who_is(request),
                now=now,
            ),
        )
        if entry is not None:
            messages.success(request, f"Entered: {told['quantity']} × {told['ware']}.")
            return redirect("counter:sell")
    page = {"form": form, "standings": standings}
    return render(request, "counter/otherwise.html", page, status=status_of(form))
