"""Addresses of the Shelf pages, under shelf/."""

from django.urls import path

from vendor.ledger import pieces_views, views

app_name = "ledger"
urlpatterns = [
    path("", views.shelf, name="shelf"),
    path("ware/<int:pk>/", views.ware, name="ware"),
    path("entry/<int:pk>/", views.entry, name="entry"),
    path("entry/<int:pk>/undo/", views.reverse, name="reverse"),
    path("opening/", pieces_views.opening, name="opening"),
    path("found/", pieces_views.found, name="found"),
    path("move/", pieces_views.move, name="move"),
    path("take-out/", pieces_views.take_out, name="take_out"),
    path("count/", pieces_views.count, name="count"),
]
