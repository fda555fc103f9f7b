"""Registers the part with Django."""

from django.apps import AppConfig


class ClosingConfig(AppConfig):
    """The part called closing."""

    name = "vendor.closing"
    label = "closing"
    default_auto_field = "django.db.models.BigAutoField"
