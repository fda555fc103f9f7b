"""`manage.py test`: the test suite, run by pytest instead of Django's own runner."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from vendor import testing


class Command(BaseCommand):
    """Hands its arguments to pytest; `manage.py` itself does so without loading any settings."""

    help = testing.HELP

    def add_arguments(self, parser: CommandParser) -> None:
        """Describe the arguments, for `manage.py help test`."""
        parser.add_argument(
            "--postgres",
            action="store_true",
            help="Run on a throw-away PostgreSQL instead of SQLite.",
        )
        parser.add_argument(
            "--benchmarks",
            action="store_true",
            help="Run the measurements in tests/benchmarks instead of the tests.",
        )
        parser.add_argument("pytest", nargs="*", help="Anything else goes to pytest as it is.")

    def run_from_argv(self, argv: list[str]) -> None:
        """Take every argument as pytest's, known here or not."""
        raise SystemExit(testing.main(argv[2:]))

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the tests when called from Python."""
        flags = [f"--{name}" for name in ("postgres", "benchmarks") if options[name]]
        raise SystemExit(testing.main([*flags, *options["pytest"]]))
