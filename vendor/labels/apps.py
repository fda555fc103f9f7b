"""Registers the part with Django, and lays the common sheets out where there are none."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


def _lay_out_sheets(using: str, **_: Any) -> None:
    """Put the common sheets and two kinds of printers where there are none of either."""
    from vendor.labels.known_sheets import KNOWN_SHEETS
    from vendor.labels.models import LabelPrinter, LabelSheet

    tables = set(connections[using].introspection.table_names())
    sheets, printers = LabelSheet.objects.using(using), LabelPrinter.objects.using(using)
    if LabelSheet._meta.db_table in tables and not sheets.exists():
        sheets.bulk_create(LabelSheet.of(sheet) for sheet in KNOWN_SHEETS)
    if LabelPrinter._meta.db_table in tables and not printers.exists():
        sheets_printer = LabelPrinter(name="Desk printer")
        roll_printer = LabelPrinter(name="Label printer", resolution=203, margin=0)
        printers.bulk_create([sheets_printer, roll_printer])


class LabelsConfig(AppConfig):
    """The part called labels."""

    name = "vendor.labels"
    label = "labels"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Ask to be told when a migrate is done."""
        post_migrate.connect(_lay_out_sheets, sender=self)
