"""Registers the part with Django."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The part called reports."""

    name = "vendor.reports"
    label = "reports"
    default_auto_field = "django.db.models.BigAutoField"
