"""Addresses of packing: fairs, weekends, packing lists, what comes home."""

from django.urls import path

from vendor.fairs import views, weekend_views

app_name = "fairs"
urlpatterns = [
    # /pack/
    path("", views.index, name="index"),
    # /pack/fairs/
    path("fairs/new/", weekend_views.new_fair, name="new_fair"),
    path("fairs/<int:pk>/", weekend_views.fair, name="fair"),
    path("fairs/<int:pk>/edit/", weekend_views.edit_fair, name="edit_fair"),
    path("fairs/<int:pk>/home/", views.bring_home, name="bring_home"),
    # /pack/weekends/
    path("weekends/<int:pk>/", weekend_views.weekend, name="weekend"),
    path("weekends/<int:pk>/drop/", weekend_views.drop_weekend, name="drop_weekend"),
    path("weekends/<int:pk>/list/", views.start_list, name="start_list"),
    # /pack/lists/
    path("lists/", views.lists, name="lists"),
    path("lists/<int:pk>/packing-list.<slug:kind>/", views.packing_file, name="packing_file"),
    path("lists/<int:pk>/", views.packing_list, name="packing_list"),
    path("lists/<int:pk>/lines/", views.change_lines, name="change_lines"),
    path("lists/<int:pk>/pick/", views.pick, name="pick"),
    path("lists/<int:pk>/load/", views.load, name="load"),
    path("lists/<int:pk>/unload/", views.unload, name="unload"),
    path("lists/<int:pk>/print/", views.packing_print, name="packing_print"),
    path("lists/<int:pk>/packing-list.pdf", views.packing_pdf, name="packing_pdf"),
]
