"""The counter's JavaScript keeps to the types that its own comments state."""

import subprocess
from pathlib import Path

import pytest

from tests import tools
from vendor.counter.offline import FOLDERS
from vendor.settings import BASE_DIR

# What the page may rely on: modules, in browsers of 2022 and later.
RULES = "--noEmit --allowJs --checkJs --strict --target es2022 --module es2022"
KNOWN = ["--lib", "es2022,dom,dom.iterable"]


def checked(*files: str) -> str:
    """Return what the compiler finds wrong in the files and all that they import."""
    line = [tools.typescript() or "tsc", *RULES.split(), *KNOWN, *files]
    done = subprocess.run(line, capture_output=True, encoding="utf-8", timeout=300, check=False)
    return done.stdout + done.stderr


@pytest.mark.typescript
def test_the_page_at_the_stall_keeps_to_its_stated_types() -> None:
    """Strictly: every parameter has a type, and nothing that may be missing is taken for there."""
    page = BASE_DIR / "vendor" / "static" / FOLDERS[0] / "page.js"
    assert checked(str(page)) == ""


@pytest.mark.typescript
def test_a_wrong_type_is_found(tmp_path: Path) -> None:
    """The check bites: a count given as text is told with its place."""
    wrong = tmp_path / "wrong.js"
    wrong.write_text(
        "/** @param {number} count */\nconst twice = (count) => 2 * count;\ntwice('2');\n"
    )
    assert "wrong.js(3,7): error TS2345" in checked(str(wrong))
