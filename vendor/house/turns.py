"""One writer at a time: what an action reads in its turn is still true when it writes."""

from django.db import connection

# Any fixed number: it names the lock that makes all writers of one studio wait their turn.
_LOCK = 7_701_001


def take_turn() -> None:
    """Wait until no other writer is at work; call it first inside the transaction.

    SQLite's IMMEDIATE transactions do this by themselves.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])
