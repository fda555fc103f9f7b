"""Registers the part with Django."""

from django.apps import AppConfig


class LedgerConfig(AppConfig):
    """The part called ledger."""

    name = "vendor.ledger"
    label = "ledger"
    default_auto_field = "django.db.models.BigAutoField"
