"""Which totes at the stall are still packed: said by a tap there, never guessed.

Of the pieces at a stall the books know how many there are, not which stand on the table. A tote
of a list that the van was loaded by counts as packed until somebody says that it is unpacked.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F

from vendor.fairs.models import PackingLine, Unpacked, Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.posting import take_turn


class NoSuchTote(Refused):
    """No loaded packing list has a tote of that mark."""


@dataclass(frozen=True, slots=True)
class Stowed:
    """So many pieces of one ware (by code) and grade in a tote."""

    ware: str
    grade: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Tote:
    """A tote at the stall: of which packing list, its mark, whether it is unpacked, its pieces."""

    packing_list: int
    mark: str
    is_out: bool
    pieces: tuple[Stowed, ...]


def unpack(
    *,
    key: str,
    packing_list_id: int,
    tote: str,
    is_out: bool,
    who: User,
    now: datetime.datetime,
) -> Unpacked:
    """Write down that a tote is unpacked, or (`is_out` false) packed again; once by its key.

    Refused (NoSuchTote) where no list of that number is in the van or it has no such tote.
    """
    with transaction.atomic():
        take_turn()
        before = Unpacked.objects.filter(key=key).first()
        if before is not None:
            return before
        lines = PackingLine.objects.filter(
            packing_list=packing_list_id, packing_list__loaded_at__isnull=False, tote=tote
        )
        if not tote or not lines.exists():
            raise NoSuchTote(
                f"No list that the van was loaded by has a tote {tote}. Nothing was noted: look at "
                "the packing list."
            )
        made = Unpacked(
            key=key, packing_list_id=packing_list_id, tote=tote, is_out=is_out,
            made_by=who, made_at=now,
        )  # fmt: skip
        made.full_clean()
        made.save()
    return made


def totes(weekend: Weekend) -> tuple[Tote, ...]:
    """Return the totes that came for a weekend, in the order of lists (two statements).

    What was said before the van was last loaded by a list holds no more.
    """
    loaded = {"packing_list__weekend": weekend, "packing_list__loaded_at__isnull": False}
    pieces: dict[tuple[int, str], list[Stowed]] = defaultdict(list)
    lines = PackingLine.objects.filter(**loaded).exclude(tote="").select_related("ware")
    for line in lines.order_by("packing_list_id", "tote", "id"):
        stowed = Stowed(line.ware.code, line.grade, line.quantity)
        pieces[line.packing_list_id, line.tote].append(stowed)
    words = Unpacked.objects.filter(**loaded, made_at__gte=F("packing_list__loaded_at"))
    out = {
        (said.packing_list_id, said.tote): said.is_out for said in words.order_by("made_at", "id")
    }
    return tuple(
        Tote(number, mark, out.get((number, mark), False), tuple(stowed))
        for (number, mark), stowed in pieces.items()
    )
