"""Registers the part with Django."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    """The part called studio."""

    name = "vendor.studio"
    label = "studio"
    default_auto_field = "django.db.models.BigAutoField"
