"""The studio's clock: the one place that asks what time it is."""

import datetime
import zoneinfo

from django.utils import timezone

from vendor.house.models import Studio


def now() -> datetime.datetime:
    """Return this moment, aware."""
    return timezone.now()


def day_of(moment: datetime.datetime, studio: Studio) -> datetime.date:
    """Return the calendar day that a moment falls on at the studio."""
    return moment.astimezone(zoneinfo.ZoneInfo(studio.time_zone)).date()


def at(day: datetime.date, time: datetime.time, studio: Studio) -> datetime.datetime:
    """Return the aware moment of a wall-clock time at the studio."""
    return datetime.datetime.combine(day, time, zoneinfo.ZoneInfo(studio.time_zone))
