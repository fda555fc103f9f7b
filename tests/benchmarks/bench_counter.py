"""How long a batch of 500 sales takes with ten seasons behind it, beside bare SQL.

Run it with `python -m tests.benchmarks.bench_counter`. It measures as served: SQLite in a folder
of its own, every sale a transaction that waits for the disk. The bare statements insert the same
rows into the same tables, one transaction a sale: no parsing, no checks, no sums, no answers. A
disk's pace differs from minute to minute, so both are measured in turn, and their ratio told.
"""

import datetime
import os
import sqlite3
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import closing
from itertools import count
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from django.db.models import Model

    from tests.counter.stalls import Stall

BATCH, TURNS = 500, 3
SEASONS, WEEKENDS, SALES = 10, 5, 400
BOOKS = "wareboard.sqlite3"
_far = count(1_000_000_000, 1_000_000)


def main() -> None:
    """Lay out a throw-away studio, fill ten seasons, and time the batches in turn."""
    with tempfile.TemporaryDirectory(prefix="wareboard-bench-") as folder:
        os.environ |= {"WAREBOARD_DATA": folder, "DJANGO_SETTINGS_MODULE": "vendor.settings"}
        os.environ.pop("DATABASE_URL", None)
        _measure(Path(folder))


def _measure(folder: Path) -> None:
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from tests.counter.stalls import NOW, Stall
    from vendor.counter.intake import Outcome, take_in

    call_command("migrate", verbosity=0)
    stall = Stall()
    tell("an empty studio", _taken(stall), "")
    begin = perf_counter()
    fill(stall)
    tell(f"({SEASONS * WEEKENDS * SALES:,} earlier sales written)", perf_counter() - begin, "")
    ratios = []
    for _ in range(TURNS):
        ours = _taken(stall)
        bare = _bare(folder)
        ratios.append(ours / bare)
        tell("after ten seasons", ours, f"{ratios[-1]:.1f} times the bare statements")
        tell("the same rows by bare SQL", bare, "")
    batch = [stall.document() for _ in range(BATCH)]
    take_in(raws=batch, who=stall.owner, now=NOW)
    begin = perf_counter()
    answers = take_in(raws=batch, who=stall.owner, now=NOW)
    assert {answer.outcome for answer in answers} == {Outcome.HAD}
    tell("the same batch once more", perf_counter() - begin, "")
    sys.stdout.write(f"Middle ratio to bare SQL: {sorted(ratios)[TURNS // 2]:.1f}\n")
    connection.close()


def tell(name: str, took: float, more: str) -> None:
    """Write one line: how long a batch took, and each of its sales."""
    sys.stdout.write(f"{name:<34}{took:8.2f} s {took / BATCH * 1000:8.2f} ms each  {more}\n")
    sys.stdout.flush()


def _taken(stall: "Stall") -> float:
    from tests.counter.stalls import NOW
    from vendor.counter.intake import Outcome, take_in

    batch = [stall.document((stall.tumbler, 1), (stall.bowl, 1)) for _ in range(BATCH)]
    begin = perf_counter()
    answers = take_in(raws=batch, who=stall.owner, now=NOW)
    took = perf_counter() - begin
    assert {answer.outcome for answer in answers} == {Outcome.TAKEN}
    return took


def fill(stall: "Stall") -> None:
    """Write earlier seasons: each a fair of five weekends, with copies of one real sale."""
    from vendor.counter.models import Sale
    from vendor.fairs.models import Fair, Weekend
    from vendor.ledger.models import Place

    pattern = Sale.objects.order_by("number")[0]
    for season in range(1, SEASONS + 1):
        place = Place.objects.create(name=f"Stall of season {season}", kind=Place.Kind.STALL)
        fair = Fair.objects.create(name=f"Season {season}", stall=place, tier=stall.tier)
        for number in range(1, WEEKENDS + 1):
            day = datetime.date(2026 - season, 11, 1) + datetime.timedelta(weeks=number)
            weekend = Weekend.objects.create(fair=fair, number=number, first_day=day, last_day=day)
            first = (number - 1) * SALES + 1
            _copies(pattern, weekend, day, range(first, first + SALES))


def _copies(pattern: Any, weekend: Any, day: datetime.date, numbers: Sequence[int]) -> None:
    """Write the pattern's entry, movements, lines and payments once for each number."""
    from vendor.counter.models import Payment, Sale, SaleLine
    from vendor.ledger.models import Entry, Movement

    mark = f"{weekend.pk}-"
    entries = Entry.objects.bulk_create(
        _like(pattern.entry, key=f"past-{mark}{number}", day=day) for number in numbers
    )
    sales = Sale.objects.bulk_create(
        _like(
            pattern, key=f"{mark}{number}", entry=entry, fair=weekend.fair, weekend=weekend,
            day=day, number=number,
        )
        for number, entry in zip(numbers, entries, strict=True)
    )  # fmt: skip
    for model, owners, name, rows in (
        (Movement, entries, "entry", pattern.entry.movements.all()),
        (SaleLine, sales, "sale", pattern.lines.all()),
        (Payment, sales, "sale", pattern.payments.all()),
    ):
        model.objects.bulk_create(_like(row, **{name: each}) for each in owners for row in rows)


def _like(row: "Model", **changes: Any) -> Any:
    """Return an unsaved copy of a row."""
    given = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    del given["id"]
    for name in changes:
        given.pop(f"{name}_id", None)
    return type(row)(**(given | changes))


# Each table: by which column its rows belong to a sale (or, for the ledger, to its entry), which
# numbers move away from all others, which keys have to be other ones. What is pointed at is first.
TABLES = (
    ("ledger_entry", "id", ("id",), ("key",)),
    ("ledger_movement", "entry_id", ("id", "entry_id"), ()),
    ("counter_sale", "id", ("id", "entry_id"), ("key", "number")),
    ("counter_saleline", "sale_id", ("id", "sale_id"), ()),
    ("counter_payment", "sale_id", ("id", "sale_id"), ()),
)


def _bare(folder: Path) -> float:
    """Insert copies of the latest batch's rows with bare statements; return the seconds.

    They go into a copy of the database, of the same size, so that the books stay as they are.
    """
    copy = folder / "bare.sqlite3"
    copy.unlink(missing_ok=True)
    with (
        closing(sqlite3.connect(folder / BOOKS)) as books,
        closing(sqlite3.connect(copy, isolation_level=None)) as database,
    ):
        books.backup(database)
        database.executescript(
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        )
        database.row_factory = sqlite3.Row
        sales = [list(_rows_of(database, row)) for row in _latest(database)]
        begin = perf_counter()
        for statements in sales:
            database.execute("BEGIN IMMEDIATE")
            for statement, values in statements:
                database.execute(statement, values)
            database.execute("COMMIT")
        return perf_counter() - begin


def _latest(database: sqlite3.Connection) -> list[sqlite3.Row]:
    wanted = "SELECT id, entry_id FROM counter_sale ORDER BY id DESC LIMIT ?"
    return database.execute(wanted, [BATCH]).fetchall()


def _rows_of(database: sqlite3.Connection, sale: sqlite3.Row) -> Iterator[tuple[str, list[Any]]]:
    """Yield the statements that write a copy of one sale under numbers far from all others."""
    far = next(_far)
    for table, by, moved, renamed in TABLES:
        owner = sale["entry_id"] if table.startswith("ledger_") else sale["id"]
        for row in database.execute(f"SELECT * FROM {table} WHERE {by} = ?", [owner]).fetchall():
            given = dict(row)
            given |= {name: given[name] + far for name in moved}
            given |= {name: _other(given[name], far) for name in renamed}
            marks = ", ".join("?" * len(given))
            yield f"INSERT INTO {table} ({', '.join(given)}) VALUES ({marks})", [*given.values()]
    # A sale also changes what its place holds, once for each ware in it.
    for balance in (1, 2):
        yield "UPDATE ledger_balance SET held = held WHERE id = ?", [balance]


def _other(value: str | int, far: int) -> str | int:
    return value + far if isinstance(value, int) else f"{value}-{far}"


if __name__ == "__main__":
    main()
