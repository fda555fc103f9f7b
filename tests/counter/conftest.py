"""The stall that the counter's tests sell from, in the books and in a browser."""

import datetime
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.counter.stalls import Stall
from tests.counter.steps import opened
from vendor.fairs.models import SellingDay, Weekend
from vendor.house import clock

DAY, WEEK = datetime.timedelta(days=1), datetime.timedelta(days=7)


@pytest.fixture
def stall(db: None) -> Stall:
    """Oxmere Mill on its third Saturday."""
    return Stall()


@pytest.fixture
def today(transactional_db: None) -> Stall:
    """The stall, moved so that its weekend is on today: a browser's clock can't be turned."""
    stall = Stall()
    on_today(stall)
    return stall


def on_today(stall: Stall) -> None:
    """Move a stall's weekends, so that its first day is today."""
    first = clock.day_of(clock.now(), stall.studio)
    for weekend, start in ((stall.weekend, first), (stall.next_weekend, first + WEEK)):
        days = (start, start + DAY)
        Weekend.objects.filter(pk=weekend.pk).update(first_day=days[0], last_day=days[1])
        for row, day in zip(SellingDay.objects.filter(weekend=weekend), days, strict=True):
            SellingDay.objects.filter(pk=row.pk).update(day=day)


@pytest.fixture
def counter(today: Stall, phone: Page, log_in: Callable[[Page, Any], None]) -> Iterator[Page]:
    """The page at the stall, ready to sell, on the helper's phone."""
    log_in(phone, today.helper)
    opened(phone)
    yield phone
    # Let the page end what it is sending before the tables are emptied.
    for page in phone.context.pages:
        page.goto("about:blank")
