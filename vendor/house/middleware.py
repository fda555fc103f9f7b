"""Puts the studio on the request, its clock on the page, and a refusal into a sentence."""

import zoneinfo
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from vendor.house.errors import Refused
from vendor.house.studio import NotSetUp, studio_or_none

FIRST_RUN = "studio:first_run"


class StudioMiddleware:
    """Give every request its studio, in the studio's own time zone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request with `request.studio` set (None before the first run)."""
        studio = studio_or_none()
        request.studio = studio  # type: ignore[attr-defined]
        if studio is None:
            return self.get_response(request)
        with timezone.override(zoneinfo.ZoneInfo(studio.time_zone)):
            return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Show a refusal that no view caught as a page with its sentence (409, nothing changed)."""
        if isinstance(error, NotSetUp):
            return redirect(FIRST_RUN)
        if isinstance(error, Refused):
            return render(request, "house/refused.html", {"message": error.message}, status=409)
        return None
