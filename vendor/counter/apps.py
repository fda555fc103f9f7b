"""Registers the part with Django."""

from django.apps import AppConfig


class CounterConfig(AppConfig):
    """The part called counter."""

    name = "vendor.counter"
    label = "counter"
    default_auto_field = "django.db.models.BigAutoField"
