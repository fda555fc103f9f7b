"""Missing programs: skipped and told at home, refused where it counts."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import TestCase

from tests import tools
from tests.javascript import JavaScriptFile, NodeTestFailed

GONE = tuple(replace(tool, find=lambda: None) for tool in tools.TOOLS)
HERE = tuple(replace(tool, find=lambda: "/somewhere") for tool in tools.TOOLS)


class Item:
    """As much of a collected test as the sorting looks at."""

    def __init__(self, *markers: str, fixtures: tuple[str, ...] = ()) -> None:
        self.markers = set(markers)
        self.fixturenames = fixtures
        self.skipped = ""
        self.cls: type | None = None

    def get_closest_marker(self, name: str) -> bool:
        """Whether the test carries a marker."""
        return name in self.markers

    def add_marker(self, marker: Any) -> None:
        """Take a marker; remember why a skip skips."""
        if isinstance(marker, str):
            self.markers.add(marker)
        else:
            self.skipped = marker.mark.kwargs["reason"]


class Config:
    """Remembers which tests were left out."""

    def __init__(self) -> None:
        self.left_out: list[Item] = []
        self.hook = SimpleNamespace(pytest_deselected=lambda items: self.left_out.extend(items))


def _sort(items: list[Item], database: str = "sqlite") -> Config:
    config = Config()
    tools.sort_out(config, items, database)  # type: ignore[arg-type]
    return config


@pytest.fixture(autouse=True)
def _at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CI", raising=False)


def test_a_test_that_opens_a_page_needs_a_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody has to remember the marker."""
    monkeypatch.setattr(tools, "TOOLS", HERE)
    page, plain = Item(fixtures=("phone", "faults")), Item(fixtures=("db",))
    _sort([page, plain])
    assert "browser" in page.markers
    assert not plain.markers


def test_without_a_program_its_tests_are_skipped(monkeypatch: pytest.MonkeyPatch) -> None:
    """The others run."""
    monkeypatch.setattr(tools, "TOOLS", GONE)
    page, script, plain = Item("browser"), Item("node"), Item()
    _sort([page, script, plain])
    assert [i.skipped for i in (page, script, plain)] == ["needs Chromium", "needs Node.js", ""]


@pytest.mark.parametrize("marker", ["browser", "node", "postgres"])
def test_in_ci_a_missing_program_is_an_error(marker: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A gap can't hide behind a green run."""
    monkeypatch.setattr(tools, "TOOLS", GONE)
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.UsageError, match="1 tests need .* which is not here: sudo apt"):
        _sort([Item(marker), Item()])


@pytest.mark.parametrize(
    ("database", "marker", "other"),
    [("sqlite", "postgres", "sqlite"), ("postgresql", "sqlite", "postgres")],
)
def test_a_test_of_the_other_database_waits_for_its_run(
    database: str, marker: str, other: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At home it counts as skipped; CI runs on both, so there it's left out."""
    monkeypatch.setattr(tools, "TOOLS", HERE)
    waiting, fitting = Item(marker), Item(other)
    _sort([waiting, fitting], database)
    assert waiting.skipped
    assert not fitting.skipped
    monkeypatch.setenv("CI", "true")
    items = [Item(marker), Item(other), Item("django_db")]
    config = _sort(items, database)
    assert [item.markers for item in config.left_out] == [{marker}]
    assert len(items) == 2


def test_what_opens_no_database_is_not_run_on_a_second_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It ran on SQLite; whatever opens a database runs on both."""
    monkeypatch.setattr(tools, "TOOLS", HERE)
    monkeypatch.setenv("CI", "true")
    case = Item()
    case.cls = TestCase
    opening = [Item("django_db"), Item(fixtures=("owner", "db")), Item("postgres"), case]
    closed = Item(fixtures=("tmp_path",))
    items = [*opening, closed]
    assert _sort(items, "postgresql").left_out == [closed]
    assert items == opening
    assert not _sort([*opening[:2], closed], "sqlite").left_out


def test_the_end_of_a_run_tells_what_was_skipped() -> None:
    """By file and number, with the way to get the rest to run."""

    def report(place: str, reason: str) -> Any:
        return SimpleNamespace(nodeid=f"{place}::test_x", longrepr=(place, 1, f"Skipped: {reason}"))

    lines = tools.report_gaps(
        [
            report("tests/counter/test_sell.py", "needs Chromium"),
            report("tests/counter/test_sell.py", "needs Chromium"),
            report("tests/ledger/test_threads.py", "needs PostgreSQL"),
            report("tests/labels/test_tags.py", "some reason of its own"),
        ]
    )
    assert lines[0] == (
        "2 tests did not run, for they need Chromium: tests/counter/test_sell.py (2)"
    )
    assert "apt install chromium" in lines[1]
    assert "1 tests did not run, for they need PostgreSQL" in lines[2]
    assert "manage.py test --postgres" in lines[3]
    assert len(lines) == 4


@pytest.mark.node
@pytest.mark.parametrize(("claim", "holds"), [("1 + 1 === 2", True), ("1 + 1 === 3", False)])
def test_javascript_tests_can_pass_and_fail(
    claim: str, holds: bool, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    """A file of them is one test, and shows Node's own report."""
    source = tmp_path / "pots.test.js"
    source.write_text(
        "const test = require('node:test');\nconst assert = require('node:assert');\n"
        f"test('pots add up', () => assert.ok({claim}));\n"
    )
    collected = JavaScriptFile.from_parent(request.session, path=source)
    (item,) = collected.collect()
    if holds:
        item.runtest()
    else:
        with pytest.raises(NodeTestFailed, match="pots add up"):
            item.runtest()
