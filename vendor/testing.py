"""Runs the test suite: what `manage.py test` does once its packages are installed.

Uses the standard library alone and never loads the project's settings, so that no test run can
touch the data folder of a potter's season.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from vendor.environment import ROOT, hand_over

HELP = "Installs what the tests need and runs them; what follows goes to pytest."
# More browsers than this at once starve each other on the machines at hand.
MOST_WORKERS = 4


def command(arguments: Sequence[str], processors: int) -> list[str]:
    """Return the command line of the test run.

    Without arguments the whole suite runs, on every processor (at most four). `--postgres` runs
    it on a throw-away PostgreSQL instead of SQLite. `--benchmarks` runs the measurements instead
    of the tests. Everything else goes to pytest as it is.
    """
    if "--benchmarks" in arguments:
        names = [argument for argument in arguments if argument != "--benchmarks"]
        return [sys.executable, "-m", "tests.benchmarks", *names]
    given = [argument for argument in arguments if argument != "--postgres"]
    pytest = [sys.executable, "-m", "pytest", *given]
    if not given and processors > 1:
        pytest += ["-n", str(min(processors, MOST_WORKERS))]
    if "--postgres" in arguments:
        # The server goes with its databases; dropping them one by one waits for every last thread.
        pytest += ["--reuse-db"]
        return [sys.executable, "-m", "tests.postgres", *pytest]
    return pytest


def main(arguments: Sequence[str]) -> int:
    """Run the tests; return pytest's exit status."""
    # The tests have settings of their own.
    surroundings = {k: v for k, v in os.environ.items() if k != "DJANGO_SETTINGS_MODULE"}
    line = command(arguments, os.cpu_count() or 1)
    os.chdir(ROOT)
    return hand_over(line, surroundings)
