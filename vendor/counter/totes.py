"""What a seller says about a tote, as devices send it: JSON, version 1, each taken once.

format         "wareboard.tote"
version        1
key            32 digits 0-9 a-f, random, made by the device
packing_list   the packing list's number in the database, 1 or more
tote           its mark on that list, 1 to 20 letters
is_out         true: its pieces stand on the table; false: they are in it again
said_at        the device's clock, with its zone
"""

import datetime
from collections.abc import Sequence

from vendor.counter.answers import Answer, Outcome
from vendor.counter.document import key_of
from vendor.counter.fields import Malformed, fields, flag, moment, one_of, text, whole
from vendor.fairs import actions as fairs
from vendor.fairs.models import Unpacked
from vendor.house.errors import Refused
from vendor.house.models import User

FORMAT, VERSION = "wareboard.tote", 1
_FIELDS = frozenset({"format", "version", "key", "packing_list", "tote", "is_out", "said_at"})


def take_in(*, raws: Sequence[object], who: User, now: datetime.datetime) -> list[Answer]:
    """Write down each word once; what is refused is answered with the sentence that says why."""
    return [_take_one(raw, who=who, now=now) for raw in raws]


def _take_one(raw: object, *, who: User, now: datetime.datetime) -> Answer:
    try:
        given = fields(raw, "tote", _FIELDS)
        one_of(given["format"], "format", [FORMAT])
        whole(given["version"], "version", VERSION, VERSION)
        key = key_of(raw)
        packing_list = whole(given["packing_list"], "packing_list", 1, 2**31 - 1)
        mark = text(given["tote"], "tote", 20, least=1)
        is_out = flag(given["is_out"], "is_out")
        moment(given["said_at"], "said_at")
    except Malformed as error:
        return Answer(None, Outcome.MALFORMED, reason=str(error))
    had = Unpacked.objects.filter(key=key).exists()
    try:
        fairs.unpack(
            key=key, packing_list_id=packing_list, tote=mark, is_out=is_out, who=who, now=now
        )
    except Refused as refusal:
        return Answer(key, Outcome.REFUSED, reason=refusal.message)
    return Answer(key, Outcome.HAD if had else Outcome.TAKEN)
