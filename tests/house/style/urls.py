"""The style pages, and a stand-in for every page that the round leads to."""

from itertools import groupby

from django.urls import URLPattern, URLResolver, include, path

from tests.house.style import views
from vendor.house.access import helper_page, owner_page, public_page
from vendor.house.season import ACCOUNT, ROUND

_FOR_THE_OWNER = {"supporters:index", "reports:index", "studio:settings"}


def _stand_ins() -> list[URLResolver]:
    """Return a page under every name of the round, each marked for whom it is open."""
    names = sorted([entry.page for entry in (*ROUND, *ACCOUNT)] + ["house:logout", "house:login"])
    found = []
    for part, pages in groupby(names, key=lambda name: name.split(":")[0]):
        patterns = []
        for page in pages:
            mark = owner_page if page in _FOR_THE_OWNER else helper_page
            name = page.split(":")[1]
            patterns.append(path(f"{part}/{name}/", mark(views.style_page), name=name))
        found.append(path("", include((patterns, part))))
    return found


urlpatterns: list[URLPattern | URLResolver] = [
    path("", public_page(views.style_page), name="style"),
    path("wrong/", public_page(views.wrong_form), name="wrong"),
    path("list/", public_page(views.a_list), name="list"),
    path("stall/", public_page(views.stall), name="stall"),
    *_stand_ins(),
]
