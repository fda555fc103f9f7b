"""DEVELOPERS.md names what there is: every part, every command, every setting."""

import re
from pathlib import Path

import pytest
from django.conf import settings

HOUSE = Path(settings.BASE_DIR)
TOLD = (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (HOUSE / "README.md").read_text(encoding="utf-8")
PARTS = sorted(
    path.parent.name for path in (HOUSE / "vendor").glob("*/__init__.py")
    if path.parent.name not in {"management", "templatetags", "static"}
)  # fmt: skip
COMMANDS = sorted(
    path.stem
    for path in (HOUSE / "vendor" / "management" / "commands").glob("*.py")
    if path.stem != "__init__"
)
SETTINGS = sorted(
    set(re.findall(r"WAREBOARD_[A-Z_]+|DATABASE_URL", (HOUSE / "vendor/settings.py").read_text()))
)


@pytest.mark.parametrize("part", PARTS)
def test_every_part_is_on_the_map(part: str) -> None:
    """Whoever carries on finds each part."""
    assert f"`{part}`" in TOLD or f"`{part}/`" in TOLD


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_told(command: str) -> None:
    """No command is a secret."""
    assert re.search(rf"manage\.py {command}\b", TOLD)


@pytest.mark.parametrize("setting", SETTINGS)
def test_every_setting_is_told(setting: str) -> None:
    """No setting is a secret."""
    assert setting in TOLD


def test_the_readme_opens_with_the_job_and_the_two_commands() -> None:
    """First what it is for, then how to start it."""
    title, job, lead, commands = README.split("\n\n")[:4]
    assert title == "# Wareboard"
    assert job.startswith("Wareboard is for a studio potter")
    assert "Python 3.11" in lead
    assert "python3 manage.py start" in commands
    assert "python3 manage.py test" in commands


def test_every_picture_of_the_readme_is_there() -> None:
    """And none is larger than it has to be."""
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(pictures) >= 4
    for picture in pictures:
        path = HOUSE / picture
        assert path.exists(), picture
        assert path.stat().st_size < 150_000, picture
