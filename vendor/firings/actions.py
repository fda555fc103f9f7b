"""Loading a kiln: recording a firing, changing what is in it, calling it off, kilns.

Verbs of the trade, keyword-only, one transaction each. Counting a firing out is in `unloading`.
"""

import datetime
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from vendor.firings import batch_loads, followers
from vendor.firings.batch_steps import settle
from vendor.firings.errors import CalledOff, NothingLoaded, NotThisKind, UnloadedAlready
from vendor.firings.models import MAX_PIECES, Batch, Firing, FiringLine, Kiln, WitnessCone
from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import Change, User
from vendor.house.turns import take_turn
from vendor.ware.models import Form, Ware

MAX_LINES = 500
Spot = tuple[int, int | None]
"""The key of a ware or form, and of the batch it came from."""


@dataclass(frozen=True, slots=True)
class Load:
    """So many pieces (1 or more) of one ware or, in a bisque firing, of one form (`thing_id`).

    `batch_id` is the batch that they came from, where they came from one.
    """

    thing_id: int
    loaded: int
    batch_id: int | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """What is said of a firing as a whole. Cones are their own names (“06”, “5½”).

    A kiln that is not in the book yet is added with the firing.
    """

    kiln: Kiln
    kind: str
    cone: str
    fired_on: datetime.date
    programmed_cone: str = ""
    hours: int | None = None
    note: str = ""


def record_firing(
    *, key: str, facts: Facts, loads: Sequence[Load], who: User, now: datetime.datetime
) -> Firing:
    """Record a kiln load, once: the same key again answers with the firing that it made.

    Refuses a firing without pieces (NothingLoaded), ware in a bisque firing or the reverse
    (NotThisKind), and more of a batch than is ready for it (NotSoMany, NotForward). Nothing moves
    in the ledger before the kiln is unloaded.
    """
    with transaction.atomic():
        take_turn()
        before = Firing.objects.filter(key=key).first()
        if before is not None:
            return before
        last = Firing.objects.aggregate(last=Max("number"))["last"] or 0
        firing = Firing(key=key, made_by=who, made_at=now, number=last + 1)
        _take_facts(firing, facts, who, now)
        firing.save()
        _write_loads(firing, loads, who=who, now=now)
    return firing


def change_firing(
    *, firing: Firing, facts: Facts, loads: Sequence[Load], who: User, now: datetime.datetime
) -> Firing:
    """Change what is said of a firing and what is in it, as long as it is not unloaded.

    The kind stays: bisque carries forms and the others ware.
    """
    with transaction.atomic():
        fresh = _locked(firing)
        refuse_unless_open(fresh)
        if (facts.kind == Firing.Kind.BISQUE) != fresh.is_bisque:
            raise NotThisKind(
                "A bisque firing carries forms and the others carry ware, so one can't become the "
                "other. Nothing was changed: call this firing off and record the other one."
            )
        _take_facts(fresh, facts, who, now)
        loaded = _write_loads(fresh, loads, who=who, now=now)
        changes.keep(fresh, who=who, now=now, more=loaded)
    return fresh


def add_facts(
    *, firing: Firing, hours: int | None, note: str, who: User, now: datetime.datetime
) -> Firing:
    """Write down the hours and the note of a firing, unloaded or not."""
    with transaction.atomic():
        fresh = _locked(firing)
        fresh.hours, fresh.note = hours, note.strip()
        fresh.full_clean()
        changes.keep(fresh, who=who, now=now)
    return fresh


def read_witness_cones(
    *, firing: Firing, cones: Mapping[str, str], who: User, now: datetime.datetime
) -> Firing:
    """Write down by shelf the hottest cone whose tip was down; replaces what was read before."""
    with transaction.atomic():
        fresh = _locked(firing)
        was = {row.shelf: row.cone for row in fresh.witness_cones.all()}
        read = {shelf.strip(): cone for shelf, cone in cones.items()}
        if read == was:
            return fresh
        fresh.witness_cones.all().delete()
        for shelf, cone in read.items():
            row = WitnessCone(firing=fresh, shelf=shelf, cone=cone)
            row.full_clean()
            row.save()
        told = [
            (f"witness cone {shelf}", was.get(shelf, ""), read.get(shelf, ""))
            for shelf in sorted({*was, *read})
            if was.get(shelf) != read.get(shelf)
        ]
        changes.note(fresh, Change.What.CHANGED, told, who=who, now=now)
    return fresh


def call_off_firing(*, firing: Firing, who: User, now: datetime.datetime) -> Firing:
    """Call off a firing that is not to be unloaded; it stays in the book and can be taken up."""
    with transaction.atomic():
        fresh = _locked(firing)
        if fresh.is_unloaded:
            raise UnloadedAlready(
                f"{fresh} has been unloaded, so it can't be called off. Nothing was changed: undo "
                "the unloading first."
            )
        if not fresh.is_called_off:
            fresh.called_off_at, fresh.called_off_by = now, who
            changes.keep(fresh, who=who, now=now)
            settle(batch_loads.batches_of(fresh))
            followers.tell_lines_gone(
                lines=list(fresh.lines.all()), why=f"{fresh} was called off", who=who, now=now
            )
    return fresh


def take_up_firing(*, firing: Firing, who: User, now: datetime.datetime) -> Firing:
    """Take up again a firing that was called off.

    Refused where its batches have not the pieces for it any more (NotSoMany, NotForward).
    """
    with transaction.atomic():
        fresh = _locked(firing)
        if not fresh.is_called_off:
            return fresh
        loads = [(line.thing_id, line.loaded, line.batch_id) for line in fresh.lines.all()]
        batch_loads.refuse_loads(fresh, loads, before=Counter())
        fresh.called_off_at = fresh.called_off_by = None
        changes.keep(fresh, who=who, now=now)
        settle(batch_loads.batches_of(fresh))
    return fresh


def save_kiln(*, kiln: Kiln, key: str = "", who: User, now: datetime.datetime) -> Kiln:
    """Add a kiln, once by its key, or change one; a name is used once."""
    with transaction.atomic():
        take_turn()
        kiln.name = kiln.name.strip()
        if (made := changes.made_before(kiln, key)) is not None:
            return made
        kiln.full_clean()
        changes.keep(kiln, who=who, now=now, key=key)
    return kiln


def refuse_unless_open(firing: Firing) -> None:
    """Refuse what can only be done before a firing is unloaded or called off."""
    if firing.is_unloaded:
        raise UnloadedAlready(
            f"{firing} has been unloaded already, and what was counted then is kept. Nothing was "
            "changed: undo the unloading first if it was wrong."
        )
    if firing.is_called_off:
        raise CalledOff(
            f"{firing} was called off. Nothing was changed: take it up again first if it was fired."
        )


def _locked(firing: Firing) -> Firing:
    """Return the firing as it is now, once it is this writer's turn."""
    take_turn()
    return Firing.objects.get(pk=firing.pk)


def _take_facts(firing: Firing, facts: Facts, who: User, now: datetime.datetime) -> None:
    """Put the facts on a firing, checked and not yet saved."""
    if facts.kiln.pk is None:
        save_kiln(kiln=facts.kiln, who=who, now=now)
    firing.kiln, firing.kind, firing.cone = facts.kiln, facts.kind, facts.cone
    firing.programmed_cone = facts.programmed_cone
    firing.fired_on, firing.hours = facts.fired_on, facts.hours
    firing.note = facts.note.strip()
    firing.full_clean()


def _write_loads(
    firing: Firing, loads: Sequence[Load], *, who: User, now: datetime.datetime
) -> list[changes.Difference]:
    """Make the lines be what was loaded, keeping the row of a line that was there before.

    Returns which lines became others.
    """
    _refuse_loads(firing, loads)
    carried = batch_loads.batches_of(firing)
    batch_loads.refuse_loads(
        firing, [(load.thing_id, load.loaded, load.batch_id) for load in loads], before=carried
    )
    before = {(line.thing_id, line.batch_id): line for line in firing.lines.all()}
    was = {spot: line.loaded for spot, line in before.items()}
    wanted = {(load.thing_id, load.batch_id): load.loaded for load in loads}
    changed = []
    for spot, line in before.items():
        if spot in wanted and line.loaded != wanted[spot]:
            line.loaded = wanted[spot]
            changed.append(line)
    FiringLine.objects.bulk_update(changed, ["loaded"])
    side = "form_id" if firing.is_bisque else "ware_id"
    FiringLine.objects.bulk_create(
        FiringLine(firing=firing, loaded=pieces, batch_id=batch_id, **{side: thing_id})
        for (thing_id, batch_id), pieces in wanted.items()
        if (thing_id, batch_id) not in before
    )
    # New lines first: what counted on one that goes may find its piece in another.
    gone = [line for spot, line in before.items() if spot not in wanted]
    followers.tell_lines_gone(lines=gone, why=f"Taken out of {firing}", who=who, now=now)
    firing.lines.filter(pk__in=[line.pk for line in gone]).delete()
    settle({*carried, *(load.batch_id for load in loads if load.batch_id is not None)})
    return _loads_changed(firing, was, wanted)


def _loads_changed(
    firing: Firing, was: Mapping[Spot, int], loaded: Mapping[Spot, int]
) -> list[changes.Difference]:
    """Return the lines of which another number is loaded now, by the name of the piece."""
    others = [spot for spot in {**was, **loaded} if was.get(spot) != loaded.get(spot)]
    named = Form.objects if firing.is_bisque else Ware.objects.select_related("form", "finish")
    things = named.in_bulk([thing for thing, _ in others])
    batches = Batch.objects.in_bulk([batch for _, batch in others if batch is not None])
    return [
        (
            f"{things[thing]} ({batches[batch]})" if batch is not None else str(things[thing]),
            str(was.get((thing, batch), "")),
            str(loaded.get((thing, batch), "")),
        )
        for thing, batch in others
    ]


def _refuse_loads(firing: Firing, loads: Sequence[Load]) -> None:
    if not loads:
        raise NothingLoaded(
            "The kiln is empty: no line has a piece. Nothing was recorded; enter at least one."
        )
    if len(loads) > MAX_LINES:
        raise Refused(f"A firing holds at most {MAX_LINES} lines. Nothing was recorded.")
    if any(not 1 <= load.loaded <= MAX_PIECES for load in loads):
        raise NothingLoaded(
            f"Every line loads between 1 and {MAX_PIECES} pieces. Nothing was recorded; "
            "look for a slip of the keys."
        )
    if len({(load.thing_id, load.batch_id) for load in loads}) < len(loads):
        raise Refused("One piece is listed twice. Nothing was recorded; put both in one line.")
    things = {load.thing_id for load in loads}
    model: type[Form] | type[Ware] = Form if firing.is_bisque else Ware
    if model._default_manager.filter(pk__in=things).count() < len(things):
        raise NotThisKind(
            "A bisque firing carries forms and the others carry ware, and one of the pieces is not "
            "there (any more). Nothing was recorded; open the page afresh and enter it again."
        )
