"""Registers the ledger, and puts its triggers back after every migrate."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


def _install_triggers(using: str, **_: Any) -> None:
    from vendor.ledger import triggers

    triggers.install(connections[using])


class LedgerConfig(AppConfig):
    """The part called ledger."""

    name = "vendor.ledger"
    label = "ledger"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Ask to be told when a migrate is done."""
        post_migrate.connect(_install_triggers, sender=self)
