"""Runs every command of `manage.py` inside the project's own environment.

Runs before anything is installed, so it uses the standard library alone, and imports nothing of
the project that needs more.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence

from vendor.environment import CannotPrepare, Environment, hand_over

# Tells a command which environment it was started in, so that it cannot start itself for ever.
INSIDE = "WAREBOARD_ENVIRONMENT"
USAGE = """Wareboard is not installed yet. Two commands do everything:

  python3 manage.py start    installs what is needed into .venv, and serves Wareboard
  python3 manage.py test     installs what the tests need, and runs them

After the first of them, `python3 manage.py help` lists the others."""


def main(argv: list[str]) -> int:
    """Run the command in argv inside the environment; return its exit status."""
    command = argv[1] if len(argv) > 1 else "help"
    wanted = "test" if command == "test" else "run"
    environment = Environment()
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A console that lacks a character shows another one, and goes on.
        sys.stdout.reconfigure(errors="replace")
    try:
        if command in {"help", "--help", "-h"} and environment.state("run") == "absent":
            _say(USAGE)
            return 0
        environment.make_ready(wanted, _say)
        if not environment.is_active():
            return _run_inside(environment, argv)
        os.environ.pop(INSIDE, None)
    except CannotPrepare as refusal:
        print(refusal, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped. Run the same command again to go on.", file=sys.stderr)
        return 130
    if wanted == "test":
        from vendor import testing

        return testing.main(argv[2:])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "vendor.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(argv)
    except PermissionError as error:
        print(
            f"This computer does not let Wareboard use {error.filename}. Give yourself the right "
            "to read and write it, then run the same command again.",
            file=sys.stderr,
        )
        return 1
    return 0


def _run_inside(environment: Environment, argv: Sequence[str]) -> int:
    """Run the same command again with the environment's Python."""
    if os.environ.pop(INSIDE, None) == str(environment.folder) or not environment.python.exists():
        raise CannotPrepare(
            f"The Python in {environment.folder} does not work as it should. Delete that folder "
            "and run the same command again: it will be made anew."
        )
    surroundings = {**os.environ, INSIDE: str(environment.folder)}
    surroundings.pop("__PYVENV_LAUNCHER__", None)
    command = environment.command(argv)
    return hand_over(command, surroundings)


def _say(line: str) -> None:
    """Print at once, also into a pipe."""
    print(line, flush=True)
