"""Puts the studio on the request, its clock on the page, and a refusal into a sentence."""

import logging
import zoneinfo
from collections.abc import Callable
from typing import Any

from django.db import DataError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from vendor.house import dates
from vendor.house.errors import Refused
from vendor.house.studio import NotSetUp, studio_or_none

FIRST_RUN = "studio:first_run"
log = logging.getLogger(__name__)


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
        with timezone.override(zoneinfo.ZoneInfo(studio.time_zone)), dates.said_as_by(studio):
            return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Refuse what no form of ours sends and PostgreSQL can't keep: a text with a NUL in it."""
        if any("\0" in text for _, texts in request.POST.lists() for text in texts):
            return _refusal(
                request,
                "A text that was sent has a sign in it that can't be kept. Nothing was changed: "
                "type it again instead of pasting it.",
                status=400,
            )
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Show a refusal that no view caught as a page with its sentence: nothing was changed."""
        if isinstance(error, NotSetUp):
            return redirect(FIRST_RUN)
        if isinstance(error, Refused):
            return _refusal(request, error.message, status=409)
        if isinstance(error, DataError | OverflowError):
            # The forms know their bounds; this is what stands behind them.
            log.error("The database could not keep a value.", exc_info=error)
            return _refusal(
                request,
                "A number or a text that was sent is larger than can be kept. Nothing was "
                "changed: make it smaller and send it again.",
                status=400,
            )
        return None


def _refusal(request: HttpRequest, message: str, *, status: int) -> HttpResponse:
    return render(request, "house/refused.html", {"message": message}, status=status)
