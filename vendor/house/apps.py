"""Registers the part with Django."""

from django.apps import AppConfig


class HouseConfig(AppConfig):
    """The part called house."""

    name = "vendor.house"
    label = "house"
    default_auto_field = "django.db.models.BigAutoField"
