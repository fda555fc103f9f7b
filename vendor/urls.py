"""Where each part's pages live."""

from django.urls import URLPattern, URLResolver, include, path

from vendor.ware import photos

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("vendor.house.urls")),
    path("", include("vendor.studio.urls")),
    path("reports/", include("vendor.reports.urls")),
    path("pack/", include("vendor.fairs.urls")),
    path("close/", include("vendor.closing.urls")),
    path("sell/", include("vendor.counter.urls")),
    path("shelf/", include("vendor.ledger.urls")),
    path("fire/", include("vendor.firings.urls")),
    path("tags/", include("vendor.labels.urls")),
    path("ware/", include("vendor.ware.urls")),
    path("media/<path:name>", photos.photo, name="photo"),
    path("restock/", include("vendor.restock.urls")),
    path("promises/", include("vendor.supporters.urls")),
]
