"""What all tests share: emptying append-only tables, and programs that may be missing."""

import os
from collections.abc import Callable, Iterator

import pytest
from django.db import connection, connections
from django.test import TransactionTestCase
from hypothesis import settings

from tests import tools

# Playwright's own event loop runs in the thread in which the tests use the database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# A property may take its time on a busy machine, and longest when it first loads a library: a
# deadline would fail the machine, not the code.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

pytest_plugins = ["tests.browsing", "tests.javascript"]


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Sort out the tests that need a program or a database that is not here."""
    tools.sort_out(config, items, connection.vendor)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say which tests did not run, and how to get them to run."""
    gaps = tools.report_gaps(terminalreporter.stats.get("skipped", []))
    if gaps:
        terminalreporter.section("not everything was tested")
        for line in gaps:
            terminalreporter.write_line(line)


@pytest.fixture(scope="session")
def base_url() -> None:
    """No address for all: each page gets its server's (the library's own fixture warns)."""


@pytest.fixture(scope="session", autouse=True)
def _let_tests_empty_the_ledger() -> Iterator[None]:
    """Lift the append-only triggers while a test's tables are emptied, and put them back."""
    from vendor.ledger import triggers

    empty_tables: Callable[[TransactionTestCase], None] = TransactionTestCase._fixture_teardown

    def lifted(case: TransactionTestCase) -> None:
        for alias in case._databases_names(include_mirrors=False):
            triggers.drop(connections[alias])
        try:
            empty_tables(case)
        finally:
            for alias in case._databases_names(include_mirrors=False):
                triggers.install(connections[alias])

    TransactionTestCase._fixture_teardown = lifted
    yield
    TransactionTestCase._fixture_teardown = empty_tables
