"""Addresses of the reports."""

from django.urls import path

from vendor.reports import views

app_name = "reports"
urlpatterns = [path("", views.index, name="index")]
