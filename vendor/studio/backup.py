"""A copy of the whole studio in one file: the database as it stands, and the photos."""

import contextlib
import datetime
import sqlite3
import tempfile
import zipfile
from pathlib import Path

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, connection, connections

from vendor.house.errors import Refused

DATABASE_NAME = "wareboard.sqlite3"
BEFORE_UPDATES = "before-updates"
"""The folder within the data folder that keeps what stood there before an update."""
KEPT = 5


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


def back_up_before_update(*, folder: Path, now: datetime.datetime) -> Path:
    """Write a backup of the studio as it stands before an update, and return where it lies.

    The last few are kept, and older ones go. Refused where it can't be written: no update is
    made then.
    """
    target = folder / BEFORE_UPDATES / f"{now:%Y-%m-%d-%H%M%S}.zip"
    unfinished = target.with_suffix(".unfinished")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.parent.chmod(0o700)
        write_backup(unfinished)
        unfinished.replace(target)
        for older in sorted(target.parent.glob("*.zip"))[:-KEPT]:
            older.unlink()
    except (OSError, sqlite3.Error) as error:
        raise Refused(
            f"No backup could be written to {target.parent} ({error}), so the database was not "
            "brought up to date and nothing was changed. Make room there, then run this again."
        ) from error
    finally:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
    return target


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
