"""Registers the part with Django, and its facts as append-only."""

from django.apps import AppConfig

# What the database itself refuses to change or delete, once written.
FACTS = (
    "counter_sale",
    "counter_saleline",
    "counter_payment",
    "counter_undoing",
    "counter_takenback",
    "counter_takenbackline",
    "counter_commission",
    "counter_deposit",
    "counter_exchange",
    "counter_till",
    "counter_tillmovement",
)


class CounterConfig(AppConfig):
    """The part called counter."""

    name = "vendor.counter"
    label = "counter"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Name the tables that the database must guard."""
        from vendor.ledger import triggers

        triggers.protect(*FACTS)
