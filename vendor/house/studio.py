"""The studio's one settings row: how to get it, and how it first comes to be."""

import zoneinfo
from typing import cast

from django.db import transaction
from django.http import HttpRequest

from vendor.house.errors import Refused
from vendor.house.models import Studio, User
from vendor.house.turns import take_turn


class NotSetUp(Refused):
    """There is no studio yet: the first run has not been done."""


def studio_or_none() -> Studio | None:
    """Return the settings row, or None before the first run."""
    return Studio.objects.filter(pk=1).first()


def the_studio() -> Studio:
    """Return the settings row; NotSetUp before the first run."""
    studio = studio_or_none()
    if studio is None:
        raise NotSetUp("The studio has not been set up yet: open the first page to do it.")
    return studio


def studio_of(request: HttpRequest) -> Studio:
    """Return the settings row that the middleware put on the request."""
    studio = getattr(request, "studio", None)
    return cast(Studio, studio) if studio is not None else the_studio()


def zone(studio: Studio) -> zoneinfo.ZoneInfo:
    """Return the studio's time zone."""
    return zoneinfo.ZoneInfo(studio.time_zone)


def who_is(request: HttpRequest) -> User:
    """Return the logged-in person of a request that the access check has let in."""
    return cast(User, request.user)


def open_studio(*, studio: Studio, owner: User, password: str) -> Studio:
    """Do the first run: write the settings row and the owner's login, both or neither.

    Refused where a studio is there already, so that a first-run page sent twice changes nothing.
    """
    with transaction.atomic():
        take_turn()
        if Studio.objects.filter(pk=1).exists():
            raise Refused("The studio is set up already; nothing was changed. Log in instead.")
        studio.pk = 1
        studio.full_clean()
        studio.save(force_insert=True)
        owner.role = User.Role.OWNER
        owner.set_password(password)
        owner.full_clean()
        owner.save()
    return studio
