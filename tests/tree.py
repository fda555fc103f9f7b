"""The files of the project, for the tests that read them."""

import shutil
import subprocess
from pathlib import Path

from vendor.environment import ROOT

# What a checkout without git (an unpacked archive) may hold beside the project's own files.
MADE_LATER = {".venv", "data", "staticfiles", "test-results", "__pycache__"}


def project_files() -> list[Path]:
    """Return every file that is, or is about to be, part of the project."""
    git = shutil.which("git")
    if git and (ROOT / ".git").exists():
        listed = subprocess.run(
            [git, "-C", str(ROOT), "ls-files", "-z", "-co", "--exclude-standard"],
            capture_output=True,
            check=True,
            encoding="utf-8",
        ).stdout
        found = [ROOT / name for name in listed.split("\0") if name]
    else:
        found = [
            path
            for path in ROOT.rglob("*")
            if not any(
                part in MADE_LATER or part.endswith("_cache")
                for part in path.relative_to(ROOT).parts
            )
        ]
    return [path for path in found if path.is_file()]


def templates() -> list[Path]:
    """Return the project's templates."""
    folder = ROOT / "templates"
    return [path for path in project_files() if path.is_relative_to(folder)]


def text_files() -> list[tuple[Path, str]]:
    """Return every file that holds text, with it."""
    read = []
    for path in project_files():
        try:
            read.append((path, path.read_text(encoding="utf-8")))
        except UnicodeDecodeError:
            continue
    return read
