"""A backup is one file with everything in it, and it opens."""

import sqlite3
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.factories import WareFactory, stocked

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has tools of its own")
def test_the_backup_holds_every_entry_and_photo(tmp_path: Path, settings: object) -> None:
    """What was entered is in the copy, whole."""
    settings.MEDIA_ROOT = tmp_path / "media"  # type: ignore[attr-defined]
    (tmp_path / "media" / "ware").mkdir(parents=True)
    (tmp_path / "media" / "ware" / "pot.jpg").write_bytes(b"a pot")
    stocked(WareFactory(), 7)
    target = tmp_path / "backup.zip"
    call_command("backup", str(target))
    with zipfile.ZipFile(target) as bundle:
        assert bundle.read("media/ware/pot.jpg") == b"a pot"
        bundle.extract("wareboard.sqlite3", tmp_path)
    copy = sqlite3.connect(tmp_path / "wareboard.sqlite3")
    assert copy.execute("SELECT SUM(quantity) FROM ledger_movement").fetchone() == (7,)
    copy.close()


def test_a_backup_never_writes_over_a_file(tmp_path: Path) -> None:
    """An older backup is not lost."""
    (tmp_path / "backup.zip").write_text("older")
    with pytest.raises(CommandError, match="there already"):
        call_command("backup", str(tmp_path / "backup.zip"))
    assert (tmp_path / "backup.zip").read_text() == "older"


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite is copied")
def test_on_postgresql_its_own_tools_are_named(tmp_path: Path) -> None:
    """Nothing half-done is written."""
    with pytest.raises(CommandError, match="pg_dump"):
        call_command("backup", str(tmp_path / "backup.zip"))
