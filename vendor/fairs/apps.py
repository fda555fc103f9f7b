"""Registers the part with Django."""

from django.apps import AppConfig


class FairsConfig(AppConfig):
    """The part called fairs."""

    name = "vendor.fairs"
    label = "fairs"
    default_auto_field = "django.db.models.BigAutoField"
