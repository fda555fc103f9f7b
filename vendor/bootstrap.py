"""Run a management command in the project's own environment (standard library alone)."""

import os


def main(argv: list[str]) -> int:
    """Hand argv to Django's command line."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "vendor.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
    return 0
