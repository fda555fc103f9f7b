"""`manage.py start`: brings the database up to date, loads the demo into an empty one, serves."""

import io
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.core.wsgi import get_wsgi_application
from django.db import OperationalError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from vendor import serving
from vendor.demo.load import Login, logins
from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.models import Studio, User
from vendor.studio import backup


class Command(BaseCommand):
    """Everything between an unpacked folder and a page in the browser."""

    help = (
        "Brings the database up to date, loads the demonstration season into an empty one, "
        "and serves Wareboard until Ctrl-C. Safe to run again at any time."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Offer the address, and a studio of one's own instead of the demonstration."""
        parser.add_argument("--port", type=int, default=8000, help="the port (default: 8000)")
        parser.add_argument(
            "--host",
            default="127.0.0.1",
            help="the address to listen on (default: this computer alone); 0.0.0.0 lets phones in",
        )
        parser.add_argument(
            "--empty",
            action="store_true",
            help="load no demonstration: the first page leads through setting up your own studio",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Set up what is missing, then serve."""
        host, port = options["host"], options["port"]
        try:
            with serving.listening(host, port) as server:
                self._set_up(with_demo=not options["empty"])
                serving.answer_to(host, settings.ALLOWED_HOSTS)
                application = get_wsgi_application()
                self._announce(host, server.bind_addr[1])
                serving.serve(server, application)
                self._say("\nStopped. What you entered is kept.")
        except Refused as refusal:
            self.stderr.write(refusal.message)
            raise SystemExit(1) from refusal
        except KeyboardInterrupt:
            self._say("\nStopped before it was ready. Run the same command again to go on.")
            raise SystemExit(130) from None

    def _set_up(self, *, with_demo: bool) -> None:
        """Bring the database and the pages' files up to date; fill an empty database."""
        settings.DATA_DIR.mkdir(parents=True, exist_ok=True)
        try:
            changes = pending_changes()
        except OperationalError as error:
            raise Refused(
                f"The database does not answer: {str(error).strip()}. Nothing was changed. "
                "See that it runs and that DATABASE_URL names it, then run this again."
            ) from error
        if changes:
            self._back_up()
            self._say(f"Bringing the database up to date ({changes} steps) …")
            call_command("migrate", interactive=False, verbosity=0)
        if serving.collect_files(settings.DATA_DIR / "collected-files"):
            self._say("Made the pages' files ready.")
        if with_demo and is_empty():
            self._say("Loading the demonstration season …")
            with transaction.atomic():
                call_command("demo", stdout=io.StringIO())

    def _back_up(self) -> None:
        """Keep what stands in the database before it is changed, where anything does."""
        if not holds_data():
            return
        if connection.vendor == "sqlite":
            kept = backup.back_up_before_update(folder=settings.DATA_DIR, now=clock.now())
            self._say(f"Backed up what there is, in {kept}")
        else:
            self._say(
                "No backup is made of a database outside of the data folder: pg_dump makes one."
            )

    def _announce(self, host: str, port: int) -> None:
        """Say where Wareboard is, how to log in, and what to mind on a network."""
        best, *others = serving.names(host)
        if settings.HTTPS:
            self._say(f"\nYour HTTPS server finds Wareboard at  http://{best}:{port}/")
            self._say(how_to_log_in())
            return
        self._say(f"\nWareboard is at  http://{best}:{port}/")
        for name in others:
            self._say(f"            and  http://{name}:{port}/  on this computer")
        self._say(how_to_log_in())
        if not serving.is_loopback(host):
            self._say(ON_A_NETWORK)
            if open_doors():
                self._say(OPEN_DOORS)
        self._say("Ctrl-C stops it.")

    def _say(self, line: str) -> None:
        """Print at once, also into a pipe."""
        self.stdout.write(line)
        self.stdout.flush()


ON_A_NETWORK = (
    "Everyone on this network can reach that address, and what is sent is not encrypted: use a "
    "network of your own, such as your phone's hotspot. Phones start a page without a signal, and "
    "use the camera, only over HTTPS."
)


OPEN_DOORS = (
    "The demonstration's passwords are known to everyone who has Wareboard: change them under "
    "Settings before a stranger is on that network."
)


def pending_changes() -> int:
    """Return how many migrations the database still lacks."""
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def holds_data() -> bool:
    """Whether somebody has set something up in this database, however old its tables are."""
    tables = set(connection.introspection.table_names())
    return {User._meta.db_table, Studio._meta.db_table} <= tables and not is_empty()


def is_empty() -> bool:
    """Whether nobody has set anything up in this database yet."""
    return not User.objects.exists() and not Studio.objects.exists()


def how_to_log_in() -> str:
    """Return the sentence that says how to get in; the demonstration's passwords are no secret."""
    if doors := open_doors():
        told = [f"{door.username} ({door.role}), password {door.password}" for door in doors]
        return f"Log in as {', or '.join(told)}."
    owners = User.objects.filter(role=User.Role.OWNER, is_active=True).order_by("date_joined")
    names = [user.username for user in owners]
    if not names:
        return "Nobody has a login yet: the page there leads you through setting up your studio."
    return (
        f"Log in as {' or '.join(names)}. A forgotten password is set anew by: "
        f"python3 manage.py password {names[0]}"
    )


def open_doors() -> list[Login]:
    """Return the demonstration's logins that still have the passwords it came with."""
    users = {user.username: user for user in User.objects.filter(is_active=True)}
    return [
        login
        for login in logins()
        if login.username in users and users[login.username].check_password(login.password)
    ]
