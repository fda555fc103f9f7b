"""The programs that some tests need beside Python's packages, and what happens without them.

A test that needs one carries a marker of its name. Without the program such a test is skipped,
and the end of the run says so and how to get it. Where CI=true it's an error instead, so that no
gap can hide behind a green run.

`postgres` and `sqlite` mark tests that mean something on one database only. The whole suite runs
on whichever DATABASE_URL names; in CI it runs on both, so there the other database's tests are
left out without a word. So are, on PostgreSQL, the tests that open no database: they ran on SQLite
and can't come out differently.
"""

import functools
import os
import shutil
import sys
import unittest
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests import postgres

BROWSER_FIXTURES = {"browser", "page", "context", "new_context", "phone", "laptop"}
DATABASE_FIXTURES = {"db", "transactional_db", "django_db_setup", "live_server"}
REASON = "needs "


@dataclass(frozen=True)
class Tool:
    """A program, how to find it, and what a developer does to get it."""

    marker: str
    name: str
    find: Callable[[], object]
    remedy: str

    @property
    def reason(self) -> str:
        """Why a test that needs it was skipped."""
        return REASON + self.name


@functools.cache
def chromium() -> str | None:
    """Return the path of a Chromium, or None; WAREBOARD_CHROMIUM names one in another place."""
    names = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
    given = os.environ.get("WAREBOARD_CHROMIUM")
    return given or next(filter(None, map(shutil.which, names)), None) or _playwrights_own()


def _playwrights_own() -> str | None:
    """Return the path of the Chromium that Playwright downloaded, if it ever did."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        path = playwright.chromium.executable_path
    return path if Path(path).exists() else None


def node() -> str | None:
    """Return the path of Node.js, or None."""
    return shutil.which("node") or shutil.which("nodejs")


def typescript() -> str | None:
    """Return the path of the TypeScript compiler, or None."""
    return shutil.which("tsc")


TOOLS = (
    Tool(
        "browser",
        "Chromium",
        chromium,
        "sudo apt install chromium on Debian or Ubuntu, else "
        f"{sys.executable} -m playwright install chromium, or WAREBOARD_CHROMIUM=/path/to/it",
    ),
    Tool(
        "node",
        "Node.js",
        node,
        "sudo apt install nodejs on Debian or Ubuntu, else its own installer (18 or newer)",
    ),
    Tool(
        "typescript",
        "TypeScript",
        typescript,
        "sudo apt install node-typescript on Debian or Ubuntu, else npm install -g typescript "
        "(4.8 or newer)",
    ),
    Tool(
        "postgres",
        "PostgreSQL",
        postgres.programs,
        "sudo apt install postgresql on Debian or Ubuntu, then "
        "python3 manage.py test --postgres runs the whole suite on a throw-away one",
    ),
)


def in_ci() -> bool:
    """Whether this run decides what is accepted."""
    return os.environ.get("CI") == "true"


def sort_out(config: pytest.Config, items: list[pytest.Item], vendor: str) -> None:
    """Skip, refuse or leave out the tests that can't run here; `vendor` is the database's."""
    for item in items:
        if BROWSER_FIXTURES & set(getattr(item, "fixturenames", ())):
            item.add_marker("browser")
    for tool in TOOLS:
        needing = [item for item in items if item.get_closest_marker(tool.marker)]
        if not needing or tool.find():
            continue
        if in_ci():
            raise pytest.UsageError(
                f"{len(needing)} tests need {tool.name}, which is not here: {tool.remedy}."
            )
        _skip(needing, tool.reason)
    other = {"sqlite": "postgres", "postgresql": "sqlite"}[vendor]
    elsewhere = [item for item in items if item.get_closest_marker(other)]
    if in_ci() and vendor == "postgresql":
        elsewhere += [
            item for item in items if item not in elsewhere and not _opens_a_database(item)
        ]
    if elsewhere and in_ci():
        config.hook.pytest_deselected(items=elsewhere)
        items[:] = [item for item in items if item not in elsewhere]
    elif elsewhere:
        names = {"postgres": "PostgreSQL", "sqlite": "SQLite"}
        _skip(elsewhere, f"{REASON}{names[other]}")


def _opens_a_database(item: pytest.Item) -> bool:
    """Whether a test may use the database: by a mark, a fixture, or being one of Django's cases."""
    marked = item.get_closest_marker("django_db") or item.get_closest_marker("postgres")
    case = getattr(item, "cls", None)
    return bool(
        marked
        or DATABASE_FIXTURES & set(getattr(item, "fixturenames", ()))
        or (case is not None and issubclass(case, unittest.TestCase))
    )


def _skip(items: Iterable[pytest.Item], reason: str) -> None:
    """Have tests skipped."""
    for item in items:
        item.add_marker(pytest.mark.skip(reason=reason))


def report_gaps(skipped: Iterable[pytest.TestReport]) -> list[str]:
    """Return the lines that say which tests did not run, and how to get them to run."""
    lines = []
    for tool in TOOLS:
        places = [
            report.nodeid.split("::")[0]
            for report in skipped
            if isinstance(report.longrepr, tuple)
            and report.longrepr[2].removeprefix("Skipped: ") == tool.reason
        ]
        if places:
            files = ", ".join(f"{place} ({places.count(place)})" for place in sorted(set(places)))
            lines += [f"{len(places)} tests did not run, for they need {tool.name}: {files}"]
            lines += [f"  to run them: {tool.remedy}"]
    return lines
