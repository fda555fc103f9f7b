"""`manage.py lock`: writes the lock files anew from the lists of wanted packages."""

import subprocess
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from vendor.environment import LOCKS

# No address may get into a lock file, so neither notes nor a header are written. Every package
# has to come ready-made: a potter's computer has no compiler.
FLAGS = (
    "--universal",
    "--python-version=3.11",
    "--generate-hashes",
    "--only-binary=:all:",
    "--no-annotate",
    "--no-header",
    "--no-emit-index-url",
    "--no-emit-find-links",
    "--quiet",
)
# The test set is made to hold the run set's very versions.
TOGETHER = {"run": (), "test": (f"--constraints={LOCKS / 'run.txt'}",)}


class Command(BaseCommand):
    """For developers: after a change to `vendor/requirements/*.in`."""

    help = (
        "Writes vendor/requirements/*.txt anew from the *.in beside them (with the test packages "
        "installed). Versions stay as they are unless the lists ask for others."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Offer newer versions."""
        parser.add_argument("--upgrade", action="store_true", help="take the newest versions")

    def handle(self, *args: Any, **options: Any) -> None:
        """Lock both sets."""
        for name, together in TOGETHER.items():
            line = command(LOCKS, name, *together, *["--upgrade"] * options["upgrade"])
            if subprocess.run(line, check=False).returncode:
                raise CommandError(f"The {name} set could not be locked; its file is as it was.")
            self.stdout.write(f"Locked {name}.")


def command(folder: Path, name: str, *more: str) -> list[str]:
    """Return the command line that locks one set."""
    uv = [sys.executable, "-m", "uv", "pip", "compile"]
    wanted, locked = folder / f"{name}.in", folder / f"{name}.txt"
    return [*uv, *FLAGS, *more, f"--output-file={locked}", str(wanted)]
