"""A copy of the whole studio in one file: the database as it stands, and the photos."""

import sqlite3
import tempfile
import zipfile
from pathlib import Path

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connection, connections

from vendor.house.errors import Refused

DATABASE_NAME = "wareboard.sqlite3"


def write_backup(target: Path) -> int:
    """Write a zip file of the database and the photos; return its size in bytes.

    The database is copied by SQLite's own online copy, so it is whole even while sales are taken,
    and the copy is checked before it counts. Refused on PostgreSQL, which has tools of its own.
    """
    if connection.vendor != "sqlite":
        raise Refused(
            "This studio's data is in PostgreSQL, so no file was made: back it up with the tools "
            "that PostgreSQL has (pg_dump), and keep the photos' folder with it."
        )
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / DATABASE_NAME
        _copy_database(copy)
        with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as bundle:
            bundle.write(copy, DATABASE_NAME)
            media = Path(settings.MEDIA_ROOT)
            for photo in sorted(media.rglob("*")) if media.exists() else []:
                if photo.is_file():
                    bundle.write(photo, f"media/{photo.relative_to(media).as_posix()}")
    return target.stat().st_size


def _copy_database(copy: Path) -> None:
    connection.ensure_connection()
    target = sqlite3.connect(copy)
    try:
        connection.connection.backup(target)
    finally:
        target.close()
    # Opened as the program itself opens it: constraints use functions that Django brings along.
    same = type(connections[DEFAULT_DB_ALIAS])
    opened = same({**connection.settings_dict, "NAME": str(copy)}, "backup")
    try:
        with opened.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode=DELETE")
            cursor.execute("PRAGMA integrity_check")
            (verdict,) = cursor.fetchone()
    finally:
        opened.close()
    if verdict != "ok":
        raise Refused(f"The copy is not whole ({verdict}), so it was thrown away. Try again.")
