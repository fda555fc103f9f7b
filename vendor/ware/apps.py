"""Registers the part with Django."""

from django.apps import AppConfig


class WareConfig(AppConfig):
    """The part called ware."""

    name = "vendor.ware"
    label = "ware"
    default_auto_field = "django.db.models.BigAutoField"
