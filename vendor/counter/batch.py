"""The envelope in which a device sends documents: JSON, version 1.

format    "wareboard.batch"
version   1
sent_at   the device's clock as it sends, with its zone
sales     1 to 500 sale documents (see `vendor.counter.document`), or
undoings  1 to 500 undoings (see `vendor.counter.undoings`), or
commissions 1 to 500 commissions (see `vendor.counter.commission_document`), or
totes     1 to 500 words about totes (see `vendor.counter.totes`), or
keys      1 to 500 keys of documents that wait, to hear what became of them
"""

import datetime
import json
from dataclasses import dataclass

from vendor.counter.fields import Malformed, fields, moment, one_of, whole

FORMAT, VERSION = "wareboard.batch", 1
MOST = 500


@dataclass(frozen=True, slots=True)
class Batch:
    """What a device sent at once."""

    sent_at: datetime.datetime
    documents: list[object]


def read_batch(body: bytes, kind: str) -> Batch:
    """Return the documents of a request's body; `Malformed` where it is no envelope of them."""
    try:
        raw = json.loads(body)
    except (ValueError, RecursionError):
        raise Malformed("batch", "should be JSON") from None
    given = fields(raw, "batch", frozenset({"format", "version", "sent_at", kind}))
    one_of(given["format"], "format", [FORMAT])
    whole(given["version"], "version", VERSION, VERSION)
    documents = given[kind]
    if not isinstance(documents, list) or not 1 <= len(documents) <= MOST:
        raise Malformed(kind, f"should be a list of 1 to {MOST}")
    return Batch(moment(given["sent_at"], "sent_at"), documents)
