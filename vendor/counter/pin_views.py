"""Who sells on a shared device: setting a PIN, and vouching by a right one for its person."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from vendor.counter import pins
from vendor.counter.errors import WrongPin
from vendor.house import clock
from vendor.house.access import helper_page
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.refusing import done, status_of
from vendor.house.studio import who_is

_PASSES = "counter_passes"


class PinForm(forms.Form):
    """A PIN, twice; the owner says whose."""

    user = forms.ModelChoiceField(User.objects.none(), label="Whose", empty_label=None)
    pin = forms.CharField(
        label="PIN",
        max_length=8,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="4 to 8 digits. It only says who sells; it opens no other page.",
    )
    again = forms.CharField(
        label="The same again",
        max_length=8,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, who: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = User.objects.filter(is_active=True).order_by("first_name", "username")
        user = self.fields["user"]
        assert isinstance(user, forms.ModelChoiceField)
        user.queryset = people if who.is_owner else people.filter(pk=who.pk)
        user.initial = who

    def clean(self) -> dict[str, Any]:
        """Refuse two PINs that differ."""
        told = super().clean() or {}
        if "pin" in told and told["pin"] != told.get("again"):
            self.add_error("again", "This is not the same PIN.")
        return told


@helper_page
@require_http_methods(["GET", "POST"])
def pin(request: HttpRequest) -> HttpResponse:
    """Set one's own PIN, or as the owner anybody's."""
    who = who_is(request)
    form = PinForm(request.POST or None, who=who)
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        held = done(
            form,
            lambda: pins.set_pin(user=told["user"], pin=told["pin"], who=who, now=clock.now()),
        )
        if held is not None:
            messages.success(request, f"{told['user']} sells by that PIN from now on.")
            return redirect("counter:sell")
    return render(request, "counter/pin.html", {"form": form}, status=status_of(form))


@helper_page
@require_POST
def seller(request: HttpRequest) -> HttpResponse:
    """Take a right PIN: from now on this login vouches for what its person sells, for a day."""
    chosen = request.POST.get("user", "")
    person = User.objects.filter(pk=int(chosen)).first() if chosen.isdecimal() else None
    try:
        if person is None:
            raise WrongPin("Nobody was chosen.")
        given = pins.pass_for(user=person, pin=request.POST.get("pin", ""), now=clock.now())
    except Refused as refusal:
        return JsonResponse({"error": refusal.message}, status=409)
    request.session[_PASSES] = request.session.get(_PASSES, {}) | {str(person.pk): given}
    return JsonResponse({"seller": person.pk, "name": str(person)})


def vouched(request: HttpRequest) -> frozenset[int]:
    """Return the people whose PIN was given on this login within a day (one statement, or none)."""
    return pins.vouched(request.session.get(_PASSES, {}), now=clock.now())
