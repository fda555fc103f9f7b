"""The database's own refusals: append-only lines, and days that are closed.

Constraints can't say "never changed", so triggers do, on SQLite and PostgreSQL alike. They are
(re)made after every migrate, since SQLite drops them silently when it rebuilds a table.
A part above that keeps facts of its own names its tables with `protect` when it is loaded.
"""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper

# The house lies below the ledger and can't name its own table.
_append_only = ["house_change", "ledger_entry", "ledger_movement", "ledger_holdline"]
_PREFIX = "wareboard_"
CLOSED = "this day is closed"
APPEND_ONLY = "is never changed or deleted"


def protect(*tables: str) -> None:
    """Add tables whose rows the database must never change or delete."""
    _append_only.extend(table for table in tables if table not in _append_only)


def names() -> list[str]:
    """Return the names of all triggers that should stand."""
    guards = [f"{_PREFIX}{table}_{act}" for table in _append_only for act in ("update", "delete")]
    return [*guards, f"{_PREFIX}movement_closed", f"{_PREFIX}place_stays_closed"]


def install(connection: BaseDatabaseWrapper) -> None:
    """Make every trigger whose table exists; safe to call again."""
    tables = set(connection.introspection.table_names())
    make = _postgres if connection.vendor == "postgresql" else _sqlite
    with connection.cursor() as cursor:
        for table in _append_only:
            if table in tables:
                for act in ("update", "delete"):
                    _run(cursor, make(f"{table}_{act}", table, act, None, f"{table} {APPEND_ONLY}"))
        if "ledger_movement" in tables:
            _run(cursor, make("movement_closed", "ledger_movement", "insert", _INTO_CLOSED, CLOSED))
        if "ledger_place" in tables:
            _run(
                cursor,
                make("place_stays_closed", "ledger_place", "update", _REOPENS, "closed is closed"),
            )


def drop(connection: BaseDatabaseWrapper) -> None:
    """Remove the triggers: for emptying a test database, and nothing else."""
    with connection.cursor() as cursor:
        for name, table in _standing(cursor, connection.vendor):
            on = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the names of triggers that should stand and don't."""
    with connection.cursor() as cursor:
        standing = {name for name, _ in _standing(cursor, connection.vendor)}
    return [name for name in names() if name not in standing]


_INTO_CLOSED = """EXISTS (
    SELECT 1 FROM ledger_place p, ledger_entry e
    WHERE e.id = NEW.entry_id AND p.id IN (NEW.source_id, NEW.target_id)
      AND p.closed_through >= e.day)"""
_REOPENS = """OLD.closed_through IS NOT NULL
    AND (NEW.closed_through IS NULL OR NEW.closed_through < OLD.closed_through)"""


def _sqlite(name: str, table: str, act: str, when: str | None, message: str) -> list[str]:
    condition = f"WHEN {when} " if when else ""
    return [
        f"CREATE TRIGGER IF NOT EXISTS {_PREFIX}{name} BEFORE {act.upper()} ON {table} "
        f"FOR EACH ROW {condition}BEGIN SELECT RAISE(ABORT, '{message}'); END"
    ]


def _postgres(name: str, table: str, act: str, when: str | None, message: str) -> list[str]:
    # The condition stands inside the function: a WHEN clause can't hold a subquery.
    # check_violation makes Django raise IntegrityError, as SQLite's ABORT does.
    test = f"IF {when} THEN" if when else "IF TRUE THEN"
    body = (
        f"BEGIN {test} RAISE EXCEPTION '{message}' USING ERRCODE = 'check_violation'; END IF; "
        f"RETURN {'OLD' if act == 'delete' else 'NEW'}; END"
    )
    return [
        f"CREATE OR REPLACE FUNCTION {_PREFIX}{name}() RETURNS trigger LANGUAGE plpgsql "
        f"AS $guard${body}$guard$",
        f"CREATE OR REPLACE TRIGGER {_PREFIX}{name} BEFORE {act.upper()} ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {_PREFIX}{name}()",
    ]


def _run(cursor: Any, statements: list[str]) -> None:
    for statement in statements:
        cursor.execute(statement)


def _standing(cursor: Any, vendor: str) -> list[tuple[str, str]]:
    if vendor == "postgresql":
        cursor.execute(
            "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
            "WHERE t.tgname LIKE %s",
            [f"{_PREFIX}%"],
        )
    else:
        cursor.execute(
            "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE %s",
            [f"{_PREFIX}%"],
        )
    return [(str(name), str(table)) for name, table in cursor.fetchall()]
