"""`manage.py demo`: the demonstration season, into an empty database."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from vendor.demo.load import load_demo, logins
from vendor.house import clock
from vendor.house.errors import Refused


class Command(BaseCommand):
    """Load the demo."""

    help = "Load the demonstration season; refused where there is a studio already."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load it and say how to log in."""
        try:
            studio = load_demo(now=clock.now())
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        self.stdout.write(f"Loaded the season of {studio.name}.")
        for login in logins():
            self.stdout.write(f"  {login.role}: {login.username}, password {login.password}")
