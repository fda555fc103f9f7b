"""Runs the JavaScript tests (`tests/js/*.test.js`) in Node's own test runner, a file at a time."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import tools

# Long enough for a slow machine, short enough to notice a test that hangs.
SECONDS = 120


class NodeTestFailed(AssertionError):  # noqa: N818
    """A test file that Node reports as failed, with what it printed."""


class JavaScriptFile(pytest.File):
    """A file of JavaScript tests."""

    def collect(self) -> Iterator[pytest.Item]:
        """Yield the file as one test."""
        yield JavaScriptTests.from_parent(self, name="node")


class JavaScriptTests(pytest.Item):
    """All tests of one file."""

    def runtest(self) -> None:
        """Run the file; fail with Node's own report."""
        done = subprocess.run(
            [tools.node() or "node", "--test", str(self.path)],
            capture_output=True,
            encoding="utf-8",
            timeout=SECONDS,
            check=False,
        )
        if done.returncode:
            raise NodeTestFailed(done.stdout + done.stderr)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException]) -> str:
        """Show what Node printed, without a Python traceback."""
        return str(excinfo.value)

    def reportinfo(self) -> tuple[Path, int, str]:
        """Name the file in reports."""
        return self.path, 0, self.path.name


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """Collect the JavaScript test files."""
    if not file_path.name.endswith(".test.js"):
        return None
    collected: pytest.Collector = JavaScriptFile.from_parent(parent, path=file_path)
    collected.add_marker("node")
    return collected
