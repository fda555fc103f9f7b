"""Logging in and out, and what to say to a form that is too old."""

from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render

from vendor.house.access import public_page
from vendor.house.forms import LoginForm
from vendor.house.middleware import FIRST_RUN
from vendor.house.models import User


@public_page
def login(request: HttpRequest) -> HttpResponseBase:
    """Let the owner or a helper in; before the first run, lead there instead."""
    if not User.objects.exists():
        return redirect(FIRST_RUN)
    view = LoginView.as_view(
        template_name="house/login.html",
        authentication_form=LoginForm,
        redirect_authenticated_user=True,
    )
    return view(request)


@public_page
def logout(request: HttpRequest) -> HttpResponseBase:
    """Log out (by POST only, so that a link from elsewhere can't do it)."""
    return LogoutView.as_view()(request)


@public_page
def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that a form's safety mark ran out, and that nothing was saved."""
    return render(request, "house/form_too_old.html", status=403)
