"""Addresses of restocking, under restock/."""

from django.urls import path

from vendor.restock import views

app_name = "restock"
urlpatterns = [
    path("", views.index, name="index"),
    path("make/", views.make, name="make"),
    path("ware/<int:pk>/", views.ware, name="ware"),
    path("bring/<int:pk>/", views.bring, name="bring"),
]
