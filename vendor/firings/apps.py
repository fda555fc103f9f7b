"""Registers the part with Django, and its facts as append-only."""

from django.apps import AppConfig


class FiringsConfig(AppConfig):
    """The part called firings."""

    name = "vendor.firings"
    label = "firings"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Name the tables that the database must guard."""
        from vendor.ledger import triggers

        triggers.protect("firings_undoneunloading", "firings_batchstep")
