"""Addresses of the pages of tags, under tags/."""

from django.urls import path

from vendor.labels import runs, setup_views, views

app_name = "labels"
urlpatterns = [
    path("", views.index, name="index"),
    path("in-hand/", runs.in_hand, name="in_hand"),
    path("state/", runs.state, name="state"),
    path("runs/", runs.runs, name="runs"),
    path("runs/<int:pk>/", runs.run, name="run"),
    path("runs/<int:pk>/pdf/", runs.run_pdf, name="run_pdf"),
    path("runs/<int:pk>/again/", runs.again, name="again"),
    path("runs/<int:pk>/strike/", runs.strike, name="strike"),
    path("settings/", setup_views.settings, name="settings"),
    path("settings/numbers/", setup_views.numbers, name="numbers"),
    path("settings/mark/", setup_views.mark, name="mark"),
    path("settings/sheets/new/", setup_views.sheet, name="new_sheet"),
    path("settings/sheets/<int:pk>/", setup_views.sheet, name="sheet"),
    path("settings/printers/new/", setup_views.printer, name="new_printer"),
    path("settings/printers/<int:pk>/", setup_views.printer, name="printer"),
    path("test-print/<int:sheet>/<int:printer>/", setup_views.proof, name="proof"),
]
