"""How a page names a place: “studio” or “online”, of which there is one, or the place's key."""

from collections.abc import Iterable

from vendor.house.models import User
from vendor.ledger.actions import the_place
from vendor.ledger.models import Place

ALONE = (Place.Kind.STUDIO, Place.Kind.ONLINE)
OWN = (Place.Kind.STUDIO, Place.Kind.ONLINE, Place.Kind.GALLERY)
"""Places between which ware is moved by hand; stalls are loaded from a packing list."""


def offered(kinds: Iterable[str] = Place.PHYSICAL) -> list[tuple[str, str]]:
    """Return value and name of each place of these kinds (one statement).

    The studio shelf and the online bin are offered before anything stood there.
    """
    wanted = set(kinds)
    there = list(Place.objects.filter(kind__in=wanted))
    named = {place.kind: place.name for place in there}
    alone = [
        (str(kind), named.get(kind, Place.Kind(kind).label)) for kind in ALONE if kind in wanted
    ]
    return alone + [(str(place.pk), place.name) for place in there if place.kind not in ALONE]


def physical() -> list[Place]:
    """Return all places where ware stands or stood (one statement)."""
    return list(Place.objects.physical().order_by("kind", "name"))


def of(value: str, kinds: Iterable[str] = Place.PHYSICAL) -> Place | None:
    """Return the place that a page names, if it is of one of these kinds."""
    wanted = set(kinds)
    if value in wanted and value in ALONE:
        return the_place(value)
    if not value.isascii() or not value.isdigit() or len(value) > 18:
        return None
    return Place.objects.filter(pk=int(value), kind__in=wanted).first()


def value_of(place: Place) -> str:
    """Return how a page names a place."""
    return place.kind if place.kind in ALONE else str(place.pk)


def may_count(place: Place, who: User) -> bool:
    """Tell whether a person may correct counts at a place: a helper only at a stall."""
    return who.is_owner or place.kind == Place.Kind.STALL
