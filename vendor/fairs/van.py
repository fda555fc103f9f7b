"""Packing lists, the van, and what comes home; `actions` names these verbs to the other parts.

What moves stock goes through the ledger under the key that is given, so that a form that is
sent twice moves it once.
"""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from vendor.fairs import stock
from vendor.fairs.errors import AlreadyLoaded
from vendor.fairs.models import MOST_PIECES, Fair, PackingLine, PackingList, Weekend
from vendor.fairs.planning import refuse_closed
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.models import Entry
from vendor.ledger.posting import take_turn
from vendor.ware.models import Grade

Spot = tuple[int, str, str]  # ware, grade, tote


@dataclass(frozen=True, slots=True)
class Packed:
    """So many pieces (0: none any more) of one ware and grade in one tote."""

    ware_id: int
    quantity: int
    grade: str = Grade.FIRST
    tote: str = ""


def start_list(
    *, key: str, weekend: Weekend, note: str = "", who: User, now: datetime.datetime
) -> PackingList:
    """Begin a packing list for a weekend, once by its key."""
    with transaction.atomic():
        take_turn()
        before = PackingList.objects.filter(key=key).first()
        if before is not None:
            return before
        refuse_closed(weekend)
        made = PackingList(key=key, weekend=weekend, note=note.strip(), made_by=who, made_at=now)
        made.full_clean()
        made.save()
    return made


def pack(
    *, packing_list: PackingList, lines: Sequence[Packed], who: User, now: datetime.datetime
) -> PackingList:
    """Set what a packing list holds of the given wares, grades and totes; 0 takes a line off.

    Setting, not adding: sent twice it says the same. Only pieces that are free on the studio
    shelf can be packed; where they are too few nothing is changed (NotFree, naming each).
    """
    with transaction.atomic():
        take_turn()
        fresh = _open_list(packing_list)
        standing: dict[Spot, PackingLine | None] = {
            (line.ware_id, line.grade, line.tote): line for line in fresh.lines.all()
        }
        wanted: dict[tuple[int, str], int] = defaultdict(int)
        for (ware_id, grade, _), line in standing.items():
            wanted[ware_id, grade] += _quantity(line)
        touched = set()
        for packed in lines:
            spot = (packed.ware_id, packed.grade, _tote(packed.tote))
            _possible(packed.quantity)
            wanted[spot[:2]] += packed.quantity - _quantity(standing.get(spot))
            touched.add(spot[:2])
            standing[spot] = _set_line(fresh, standing.get(spot), spot, packed.quantity)
        stock.refuse_shortage(
            stock.shelf(), {spot: wanted[spot] for spot in touched if wanted[spot]}
        )
        fresh.changed_by, fresh.changed_at = who, now
        fresh.save(update_fields=["changed_by", "changed_at"])
    return fresh


def bring(
    *,
    key: str,
    weekend: Weekend,
    lines: Sequence[ledger.Line],
    who: User,
    now: datetime.datetime,
) -> PackingList:
    """See to it that at least these pieces are on the weekend's open packing list.

    What is on it already stays; what is missing comes without a tote. Where the weekend has no
    open list yet, one is begun. Sent twice it says the same.
    """
    with transaction.atomic():
        take_turn()
        target = weekend.packing_lists.filter(loaded_at__isnull=True).order_by("id").first()
        target = target or start_list(key=key, weekend=weekend, who=who, now=now)
        if target.is_loaded:
            return target
        listed: dict[tuple[int, str], int] = defaultdict(int)
        loose: dict[tuple[int, str], int] = defaultdict(int)
        for line in target.lines.all():
            listed[line.ware_id, line.grade] += line.quantity
            loose[line.ware_id, line.grade] += 0 if line.tote else line.quantity
        more = [
            Packed(
                line.ware_id,
                loose[line.ware_id, line.grade] + line.quantity - listed[line.ware_id, line.grade],
                line.grade,
            )
            for line in lines
            if line.quantity > listed[line.ware_id, line.grade]
        ]
        return pack(packing_list=target, lines=more, who=who, now=now) if more else target


def load_van(
    *,
    key: str,
    packing_list: PackingList,
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
) -> PackingList:
    """Move what the list holds from the shelf to the stall, once however often it is sent.

    All or nothing: where free pieces are missing, NotFree names every short line and nothing
    moves. Refused too: an empty list, a weekend that is closed.
    """
    with transaction.atomic():
        take_turn()
        fresh = PackingList.objects.select_related("weekend__fair__stall").get(pk=packing_list.pk)
        if fresh.is_loaded:
            return fresh
        refuse_closed(fresh.weekend)
        if Entry.objects.filter(key=key).exists():
            raise AlreadyLoaded(
                "This van was loaded and unloaded again since the page was opened. "
                "Nothing was changed: open the list again and load it from there."
            )
        wanted: dict[tuple[int, str], int] = defaultdict(int)
        for line in fresh.lines.all():
            wanted[line.ware_id, line.grade] += line.quantity
        stock.refuse_shortage(stock.shelf(), wanted)
        fresh.entry = ledger.move(
            key=key,
            lines=[ledger.Line(spot[0], total, spot[1]) for spot, total in wanted.items()],
            source=stock.shelf(),
            target=fresh.weekend.fair.stall,
            who=who,
            now=now,
            happened_at=happened_at,
            reason=f"Packed for {fresh.weekend}"[:200],
        )
        fresh.loaded_at, fresh.loaded_by = happened_at or now, who
        fresh.save(update_fields=["entry", "loaded_at", "loaded_by"])
    return fresh


def unload_van(
    *, key: str, packing_list: PackingList, reason: str, who: User, now: datetime.datetime
) -> PackingList:
    """Undo a loading by a reversing entry; the list can then be changed and loaded again.

    Refused: for a closed weekend (what is left is brought home instead), and once pieces of it
    have gone on.
    """
    with transaction.atomic():
        take_turn()
        fresh = PackingList.objects.select_related("entry", "weekend").get(pk=packing_list.pk)
        if fresh.entry is None:
            return fresh
        refuse_closed(fresh.weekend)
        ledger.reverse(key=key, entry=fresh.entry, who=who, now=now, reason=reason)
        fresh.entry = fresh.loaded_at = fresh.loaded_by = None
        fresh.save(update_fields=["entry", "loaded_at", "loaded_by"])
    return fresh


def bring_home(
    *,
    key: str,
    fair: Fair,
    lines: Sequence[ledger.Line],
    who: User,
    now: datetime.datetime,
    happened_at: datetime.datetime | None = None,
) -> Entry:
    """Move pieces from a fair's stall back to the studio shelf, once by the key.

    NotFree names every line of which the stall has too few.
    """
    with transaction.atomic():
        take_turn()
        wanted: dict[tuple[int, str], int] = defaultdict(int)
        for line in lines:
            _possible(line.quantity)
            wanted[line.ware_id, line.grade] += line.quantity
        if not Entry.objects.filter(key=key).exists():
            stock.refuse_shortage(fair.stall, wanted)
        return ledger.move(
            key=key,
            lines=[ledger.Line(spot[0], n, spot[1]) for spot, n in wanted.items() if n],
            source=fair.stall,
            target=stock.shelf(),
            who=who,
            now=now,
            happened_at=happened_at,
            reason=f"Brought home from {fair}"[:200],
        )


def _open_list(packing_list: PackingList) -> PackingList:
    """Return the list as it is now; refused where it is loaded or its weekend closed."""
    fresh = PackingList.objects.select_related("weekend__fair__stall").get(pk=packing_list.pk)
    if fresh.is_loaded:
        raise AlreadyLoaded(
            f"{fresh.title} is in the van already. Nothing was changed: begin another list for "
            "what comes on top, or undo the loading first."
        )
    refuse_closed(fresh.weekend)
    return fresh


def _possible(quantity: int) -> None:
    if not 0 <= quantity <= MOST_PIECES:
        raise Refused(
            f"{quantity} pieces can't be right: a line takes 0 to {MOST_PIECES}. "
            "Nothing was changed."
        )


def _tote(text: str) -> str:
    return " ".join(text.split())


def _quantity(line: PackingLine | None) -> int:
    return line.quantity if line is not None else 0


def _set_line(
    packing_list: PackingList, line: PackingLine | None, spot: Spot, quantity: int
) -> PackingLine | None:
    """Write one line's quantity: made, changed or taken off."""
    if quantity == 0:
        if line is not None:
            line.delete()
        return None
    ware_id, grade, tote = spot
    line = line or PackingLine(packing_list=packing_list, ware_id=ware_id, grade=grade, tote=tote)
    line.quantity = quantity
    line.full_clean()
    line.save()
    return line
