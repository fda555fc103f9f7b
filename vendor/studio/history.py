"""What was changed, by whom and when: all of it, with names where people are meant.

The notes themselves keep no name of a person; the name that is shown is the one of today.
"""

from django.db.models import Case, CharField, F, OuterRef, QuerySet, Subquery, Value, When
from django.db.models.functions import Cast, Concat
from django.urls import reverse

from vendor.house.models import Change, User
from vendor.supporters.models import Supporter

# Where a thing is looked at and changed, by its kind; a page without a number stands for all.
PAGES = {
    "fairs.fair": "fairs:fair",
    "firings.firing": "firings:firing",
    "firings.kiln": "firings:kiln",
    "house.studio": "studio:settings",
    "house.user": "studio:people",
    "labels.labelprinter": "labels:printer",
    "labels.labelsheet": "labels:sheet",
    "labels.printrun": "labels:run",
    "labels.tagdress": "labels:settings",
    "supporters.contributionfile": "supporters:file",
    "supporters.level": "supporters:level",
    "supporters.reward": "supporters:reward",
    "supporters.supporter": "supporters:supporter",
    "ware.finish": "ware:finish",
    "ware.form": "ware:form",
    "ware.pricetier": "ware:tier",
    "ware.ware": "ware:ware",
}
ALONE = frozenset({"house.studio", "house.user", "labels.tagdress"})
"""Kinds of things whose page has no number in its address."""


def changes() -> QuerySet[Change]:
    """Return all changes with whoever made them, each with the name of its thing as `called`."""
    first_name = User.objects.filter(pk=OuterRef("number")).values("first_name")
    name = Supporter.objects.filter(pk=OuterRef("number")).values("name")
    return Change.objects.select_related("who").annotate(
        called=Case(
            When(thing="house.user", then=Subquery(first_name)),
            When(thing="supporters.supporter", then=Subquery(name)),
            When(name="", then=Concat("kind", Value(" "), Cast("number", CharField()))),
            default=F("name"),
            output_field=CharField(),
        )
    )


def page_of(change: Change) -> str | None:
    """Return the address of the page of what was changed, or None where it has none any more."""
    page = PAGES.get(change.thing)
    if page is None or change.what == Change.What.REMOVED:
        return None
    return reverse(page, args=() if change.thing in ALONE else (change.number,))
