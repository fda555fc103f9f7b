"""Ends early releases whose last day has passed, with the first page of the new day.

Asks the database once a day in each process; nothing runs in the background.
"""

import datetime
import logging
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.supporters import offering

log = logging.getLogger(__name__)


class EndedReleases:
    """Give unsold pieces back before the page that might need them is made."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.looked_on: datetime.date | None = None

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; `process_view` does it."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        """End what is over, in the name of whoever opened the first page of the day."""
        studio = getattr(request, "studio", None)
        if studio is None or not isinstance(request.user, User):
            return
        now = clock.now()
        today = clock.day_of(now, studio)
        if self.looked_on != today:
            try:
                offering.end_what_is_over(who=request.user, now=now)
            except Refused as refused:
                # A stall that was closed before its last day is over: nobody's page waits for it.
                log.warning("An early release did not end yet: %s", refused.message)
            self.looked_on = today
