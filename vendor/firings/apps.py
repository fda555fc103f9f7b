"""Registers the part with Django."""

from django.apps import AppConfig


class FiringsConfig(AppConfig):
    """The part called firings."""

    name = "vendor.firings"
    label = "firings"
    default_auto_field = "django.db.models.BigAutoField"
