"""`manage.py password NAME`: the way back in for an owner who has forgotten the password."""

import getpass
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from vendor.house import clock
from vendor.house.models import User
from vendor.studio import actions

TRIES = 3


class Command(BaseCommand):
    """Set a person's password at the computer that runs the program."""

    help = "Set a new password for a person, at the computer that runs Wareboard."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the name that the person logs in with."""
        parser.add_argument("name", help="the name that the person logs in with")

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask for the password twice, without showing it, and set it."""
        person = User.objects.filter(username=options["name"]).first()
        if person is None:
            names = ", ".join(User.objects.order_by("username").values_list("username", flat=True))
            raise CommandError(
                f"Nobody logs in as {options['name']}. Nothing was changed. There are: {names}."
            )
        for _ in range(TRIES):
            password = getpass.getpass(f"New password for {person}: ")
            if password != getpass.getpass("The same again: "):
                self.stderr.write("These were two different ones. Once more:")
                continue
            try:
                actions.set_password(person=person, password=password, who=person, now=clock.now())
            except ValidationError as error:
                self.stderr.write(f"{' '.join(error.messages)} Once more:")
                continue
            self.stdout.write(f"{person} has a new password, and logs in with it at once.")
            if not person.is_active:
                self.stdout.write("Their login is taken away: the owner lets them in under People.")
            return
        raise CommandError("Nothing was changed: the old password still holds.")
