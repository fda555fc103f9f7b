"""The top of the house: static files, template tags and management commands; no tables."""

from django.apps import AppConfig


class VendorConfig(AppConfig):
    """The project package itself."""

    name = "vendor"
    label = "vendor"
    verbose_name = "Wareboard"
