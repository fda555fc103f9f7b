"""`manage.py backup FILE`: the whole studio in one zip file, checked."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from vendor.house.errors import Refused
from vendor.studio.backup import write_backup


class Command(BaseCommand):
    """Write a backup."""

    help = "Write the database and the photos to one zip file, while the program may run."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file to write."""
        parser.add_argument("file", type=Path, help="the zip file to write; not there yet")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it and say how large it is."""
        target: Path = options["file"]
        if target.exists():
            raise CommandError(f"{target} is there already; nothing was written.")
        try:
            size = write_backup(target)
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        self.stdout.write(f"Wrote {target}: {size:,} bytes, checked.")
