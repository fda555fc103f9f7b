"""What the part's pages share: the key of a form, today, and a refusal told on the page itself."""

import datetime
import re
from collections.abc import Callable
from functools import wraps
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme

from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.studio import studio_of

View = Callable[..., HttpResponse]
_KEY = re.compile(r"[0-9a-f]{32}")


def key_of(request: HttpRequest) -> str:
    """Return the key that the form was opened with; refuses one that no page of ours gave."""
    key = request.POST.get("key", "")
    if not _KEY.fullmatch(key):
        raise Refused("This form came without its key. Nothing was changed: open the page afresh.")
    return key


def number_of(request: HttpRequest, name: str) -> int | None:
    """Return the row's number that a field names, None where it is empty, 0 where it is none."""
    text = request.POST.get(name, "")
    if not text:
        return None
    return int(text) if text.isascii() and text.isdigit() and len(text) < 18 else 0


def today_of(request: HttpRequest) -> datetime.date:
    """Return the studio's calendar day."""
    return clock.day_of(clock.now(), studio_of(request))


def back(request: HttpRequest, otherwise: str) -> HttpResponse:
    """Return to the page of our own that the form names, or to the given address."""
    address = request.POST.get("back", "")
    if address.startswith("/") and url_has_allowed_host_and_scheme(address, allowed_hosts=None):
        return redirect(address)
    return redirect(otherwise)


def told(view: View) -> View:
    """Show a refusal as a message on the page that the form came from; else as a page (409)."""

    @wraps(view)
    def telling(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except Refused as refused:
            if not request.POST.get("back"):
                raise
            messages.error(request, refused.message)
            return back(request, "/")

    return telling


def read(request: HttpRequest, form: forms.BaseForm) -> dict[str, Any] | None:
    """Return what a form tells; where it can't be read, say why as a message and return None."""
    if form.is_valid():
        return dict(form.cleaned_data)
    for name, errors in form.errors.items():
        label = form.fields[name].label if name in form.fields else ""
        said = " ".join(str(error) for error in errors)
        messages.error(
            request, f"{label or name.capitalize()}: {said}" if name != "__all__" else said
        )
    return None
