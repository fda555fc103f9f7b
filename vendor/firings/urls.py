"""Addresses of the kiln's pages, under fire/."""

from django.urls import path

from vendor.firings import lists, unloading_views, views

app_name = "firings"
urlpatterns = [
    path("", lists.index, name="index"),
    path("losses/", lists.losses, name="losses"),
    path("kilns/", views.kilns, name="kilns"),
    path("kilns/new/", views.kiln, name="new_kiln"),
    path("kilns/<int:pk>/", views.kiln, name="kiln"),
    path("new/<slug:kind>/", views.record, name="record"),
    path("<int:pk>/", views.firing, name="firing"),
    path("<int:pk>/change/", views.change, name="change"),
    path("<int:pk>/unload/", unloading_views.unload, name="unload"),
    path("<int:pk>/undo/", unloading_views.undo, name="undo"),
    path("<int:pk>/after/", views.after, name="after"),
    path("<int:pk>/call-off/", views.call_off, name="call_off"),
    path("<int:pk>/take-up/", views.take_up, name="take_up"),
]
