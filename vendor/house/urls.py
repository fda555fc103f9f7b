"""Addresses of the log-in pages."""

from django.urls import path

from vendor.house import views

app_name = "house"
urlpatterns = [
    path("login/", views.login, name="login"),
    path("logout/", views.logout, name="logout"),
]
