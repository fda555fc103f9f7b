"""The envelope in which a device sends what it counted one by one: JSON, version 1.

format    "wareboard.scans"
version   1
pass      key, kind ("first", "elsewhere", "again"), where (up to 40 letters)
scans     1 to 200, each with
          key      of its own, 8 to 40 letters
          ware     the ware's number; grade “first” or “second”
          hold     the number of the hold whose piece it is, or null
          undoes   the key of the scan that it takes back, or empty
          beside   how it stands to what others counted of it: empty, "elsewhere" or "again"
"""

import json

from vendor.closing.models import CountPass
from vendor.closing.scanning import Beside, Going, Scan
from vendor.counter.fields import Malformed, fields, one_of, several, text, whole
from vendor.ware.models import Grade

FORMAT, VERSION, MOST = "wareboard.scans", 1, 200
LARGEST = 2**53


def read_scans(body: bytes) -> tuple[Going, list[Scan]]:
    """Return the pass and the scans of a request's body; `Malformed` where it is none."""
    try:
        raw = json.loads(body)
    except (ValueError, RecursionError):
        raise Malformed("batch", "should be JSON") from None
    given = fields(raw, "batch", frozenset({"format", "version", "pass", "scans"}))
    one_of(given["format"], "format", [FORMAT])
    whole(given["version"], "version", VERSION, VERSION)
    return _going(given["pass"]), several(given["scans"], "scans", 1, MOST, _scan)


def _going(raw: object) -> Going:
    given = fields(raw, "pass", frozenset({"key", "kind", "where"}))
    return Going(
        key=text(given["key"], "pass.key", 40, least=8),
        kind=one_of(given["kind"], "pass.kind", list(CountPass.Kind.values)),
        where=text(given["where"], "pass.where", 40),
    )


def _scan(raw: object, at: str) -> Scan:
    given = fields(raw, at, frozenset({"key", "ware", "grade", "hold", "undoes", "beside"}))
    hold = given["hold"]
    return Scan(
        key=text(given["key"], f"{at}.key", 40, least=8),
        ware_id=whole(given["ware"], f"{at}.ware", 1, LARGEST),
        grade=one_of(given["grade"], f"{at}.grade", list(Grade.values)),
        hold_id=None if hold is None else whole(hold, f"{at}.hold", 1, LARGEST),
        undoes=text(given["undoes"], f"{at}.undoes", 40),
        beside=Beside(one_of(given["beside"], f"{at}.beside", [str(each) for each in Beside])),
    )
