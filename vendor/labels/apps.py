"""Registers the part with Django."""

from django.apps import AppConfig


class LabelsConfig(AppConfig):
    """The part called labels."""

    name = "vendor.labels"
    label = "labels"
    default_auto_field = "django.db.models.BigAutoField"
