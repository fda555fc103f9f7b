"""The house stands: settings load and Django's own checks find nothing."""

from django.core.management import call_command


def test_django_finds_no_fault_in_the_settings() -> None:
    """`manage.py check` is clean."""
    call_command("check")
