"""`manage.py audit`: rebuild every kept figure from its lines; exit 1 on any drift."""

import json
import sys
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from vendor.closing.proof import audit_statements
from vendor.counter.deposits import audit_deposits
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry


class Command(BaseCommand):
    """Check the ledger against its own lines, the statements against it, deposits by their own."""

    help = "Rebuild balances, holds, statements and deposits from the lines; report drift (exit 1)."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take --json."""
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the audit and say what it found."""
        drifts = [*audit(), *audit_statements(), *audit_deposits()]
        if options["json"]:
            found = {"clean": not drifts, "drifts": [asdict(drift) for drift in drifts]}
            self.stdout.write(json.dumps(found, indent=2, ensure_ascii=False))
        elif drifts:
            for drift in drifts:
                self.stdout.write(str(drift))
            self.stdout.write(f"{len(drifts)} drifts: the lines are right, the figures are not.")
        else:
            self.stdout.write(f"Clean: {Entry.objects.count()} entries add up.")
        if drifts:
            sys.exit(1)
