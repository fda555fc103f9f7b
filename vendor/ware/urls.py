"""Addresses of what the studio makes, under ware/."""

from django.urls import path

from vendor.ware import price_views, views

app_name = "ware"
urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.ware, name="new_ware"),
    path("<int:pk>/", views.ware, name="ware"),
    path("<int:pk>/no-photo/", views.take_photo_away, name="take_photo_away"),
    path("forms/", views.forms, name="forms"),
    path("forms/new/", views.form, name="new_form"),
    path("forms/<int:pk>/", views.form, name="form"),
    path("forms/<int:pk>/make/", views.make, name="make"),
    path("finishes/", views.finishes, name="finishes"),
    path("finishes/new/", views.finish, name="new_finish"),
    path("finishes/<int:pk>/", views.finish, name="finish"),
    path("prices/", price_views.prices, name="prices"),
    path("prices/new/", price_views.tier, name="new_tier"),
    path("prices/<int:pk>/", price_views.tier_prices, name="tier_prices"),
    path("prices/<int:pk>/list/", price_views.tier, name="tier"),
]
