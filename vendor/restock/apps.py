"""Registers the part with Django."""

from django.apps import AppConfig


class RestockConfig(AppConfig):
    """The part called restock."""

    name = "vendor.restock"
    label = "restock"
    default_auto_field = "django.db.models.BigAutoField"
