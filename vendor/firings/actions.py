"""Loading a kiln: recording a firing, changing what is in it, calling it off, kilns.

Verbs of the trade, keyword-only, one transaction each. Counting a firing out is in `unloading`.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Max

from vendor.firings.errors import CalledOff, NothingLoaded, NotThisKind, UnloadedAlready
from vendor.firings.models import MAX_PIECES, Firing, FiringLine, Kiln, WitnessCone
from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import Change, User
from vendor.house.turns import take_turn
from vendor.ware.models import Form, Ware

MAX_LINES = 500


@dataclass(frozen=True, slots=True)
class Load:
    """So many pieces (1 or more) of one ware or, in a bisque firing, of one form (`thing_id`)."""

    thing_id: int
    loaded: int


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

    Refuses a firing without pieces (NothingLoaded), and ware in a bisque firing or the reverse
    (NotThisKind). Nothing moves in the ledger before the kiln is unloaded.
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
        _write_loads(firing, loads)
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
        changes.keep(fresh, who=who, now=now, more=_write_loads(fresh, loads))
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
    return fresh


def take_up_firing(*, firing: Firing, who: User, now: datetime.datetime) -> Firing:
    """Take up again a firing that was called off."""
    with transaction.atomic():
        fresh = _locked(firing)
        fresh.called_off_at = fresh.called_off_by = None
        changes.keep(fresh, who=who, now=now)
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


def _write_loads(firing: Firing, loads: Sequence[Load]) -> list[changes.Difference]:
    """Make the lines be what was loaded, keeping the row of a line that was there before.

    Returns which lines became others.
    """
    _refuse_loads(firing, loads)
    side = "form_id" if firing.is_bisque else "ware_id"
    before = {getattr(line, side): line for line in firing.lines.all()}
    was = {thing_id: line.loaded for thing_id, line in before.items()}
    kept = {load.thing_id for load in loads}
    firing.lines.filter(
        pk__in=[line.pk for key, line in before.items() if key not in kept]
    ).delete()
    changed = []
    for load in loads:
        line = before.get(load.thing_id)
        if line is not None and line.loaded != load.loaded:
            line.loaded = load.loaded
            changed.append(line)
    FiringLine.objects.bulk_update(changed, ["loaded"])
    FiringLine.objects.bulk_create(
        FiringLine(firing=firing, loaded=load.loaded, **{side: load.thing_id})
        for load in loads
        if load.thing_id not in before
    )
    return _loads_changed(firing, was, {load.thing_id: load.loaded for load in loads})


def _loads_changed(
    firing: Firing, was: Mapping[int, int], loaded: Mapping[int, int]
) -> list[changes.Difference]:
    """Return the lines of which another number is loaded now, by the name of the piece."""
    others = [pk for pk in {*was, *loaded} if was.get(pk) != loaded.get(pk)]
    named = Form.objects if firing.is_bisque else Ware.objects.select_related("form", "finish")
    return [
        (str(thing), str(was.get(thing.pk, "")), str(loaded.get(thing.pk, "")))
        for thing in named.filter(pk__in=others)
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
    things = {load.thing_id for load in loads}
    if len(things) < len(loads):
        raise Refused("One piece is listed twice. Nothing was recorded; put both in one line.")
    model: type[Form] | type[Ware] = Form if firing.is_bisque else Ware
    if model._default_manager.filter(pk__in=things).count() < len(things):
        raise NotThisKind(
            "A bisque firing carries forms and the others carry ware, and one of the pieces is not "
            "there (any more). Nothing was recorded; open the page afresh and enter it again."
        )
