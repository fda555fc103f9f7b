"""Makers of kilns and firings for the tests of this part."""

import datetime
import itertools
from typing import Any

from tests.factories import NOW, OwnerFactory, StudioFactory, UserFactory
from vendor.firings import actions, unloading
from vendor.firings.actions import Facts, Load
from vendor.firings.models import Firing, Kiln
from vendor.house.models import User
from vendor.ware.models import Form, Ware

TODAY = datetime.date(2026, 12, 2)
_keys = itertools.count()


def owner() -> User:
    """Return the studio's owner, and see to it that there is a studio."""
    StudioFactory()
    return User.objects.filter(role=User.Role.OWNER).first() or OwnerFactory()


def helper() -> User:
    """Return a helper, and see to it that there is a studio."""
    StudioFactory()
    return UserFactory()


def kiln(name: str = "Front loader", **more: Any) -> Kiln:
    """Return the kiln of a name, made when first needed."""
    return Kiln.objects.get_or_create(name=name, defaults=more)[0]


def facts(**more: Any) -> Facts:
    """Return what is said of a cone 6 glaze firing two days ago, unless told otherwise."""
    said: dict[str, Any] = {
        "kiln": more.pop("kiln", None) or kiln(),
        "kind": Firing.Kind.GLAZE,
        "cone": "6",
        "fired_on": TODAY - datetime.timedelta(days=2),
    }
    return Facts(**{**said, **more})


def fired(*loads: tuple[Ware | Form, int], **more: Any) -> Firing:
    """Record a firing of so many pieces of each ware (or form, for bisque)."""
    who = more.pop("who", None) or owner()
    return actions.record_firing(
        key=more.pop("key", f"fired-{next(_keys)}"),
        facts=facts(**more),
        loads=[Load(thing.pk, pieces) for thing, pieces in loads],
        who=who,
        now=NOW,
    )


def count(
    firing: Firing, firsts: int, seconds: int = 0, line: int = 0, **causes: int
) -> unloading.Count:
    """Return the count of one line (by its number from 0) of a firing."""
    return unloading.Count(firing.lines.all()[line].pk, firsts, seconds, causes)


def unloaded(firing: Firing, *counts: unloading.Count, **more: Any) -> Firing:
    """Unload a firing; without counts, everything came out as a first."""
    said = counts or [unloading.Count(line.pk, line.loaded) for line in firing.lines.all()]
    who = more.pop("who", None) or owner()
    return unloading.unload_firing(firing=firing, counts=said, who=who, now=NOW, **more)
