"""Registers the part with Django, and its statements as append-only."""

from django.apps import AppConfig

# What the database itself refuses to change or delete, once written.
STATEMENTS = (
    "closing_stallcount",
    "closing_cashcount",
    "closing_carriedcash",
    "closing_closing",
    "closing_closingcash",
    "closing_closingcard",
    "closing_closingline",
    "closing_amendment",
)


class ClosingConfig(AppConfig):
    """The part called closing."""

    name = "vendor.closing"
    label = "closing"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Name the tables that the database must guard."""
        from vendor.ledger import triggers

        triggers.protect(*STATEMENTS)
