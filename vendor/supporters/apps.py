"""Registers the part with Django."""

from django.apps import AppConfig


class SupportersConfig(AppConfig):
    """The part called supporters."""

    name = "vendor.supporters"
    label = "supporters"
    default_auto_field = "django.db.models.BigAutoField"
