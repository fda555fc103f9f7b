"""What the page for counting one by one knows: passes that go on, and what a tag can stand for.

Named reads in a fixed number of statements. Nothing here writes.
"""

from collections import defaultdict
from dataclasses import dataclass

from vendor.closing.models import CountPass
from vendor.closing.queries import tallies_of
from vendor.fairs.models import Weekend
from vendor.house.models import User
from vendor.labels.queries import numbers
from vendor.ledger.posting import piece
from vendor.ledger.queries import open_holds
from vendor.supporters.models import Commitment
from vendor.ware.models import Grade, Ware


@dataclass(frozen=True, slots=True)
class Running:
    """A pass that goes on, and its pieces so far by ware and grade (“12 first”: 7)."""

    key: str
    number: int
    kind: str
    where: str
    mine: dict[str, int]


@dataclass(frozen=True, slots=True)
class TagOf:
    """A ware and grade as a scanner meets it: its number, code, article number and name."""

    id: int
    ware: str
    grade: str
    number: str
    name: str


@dataclass(frozen=True, slots=True)
class HeldHere:
    """A hold on the stall as its tag calls it: by what it is for, or by a first name."""

    id: int
    ware: int
    grade: str
    quantity: int
    label: str
    first_name: str
    name: str


def running(weekend: Weekend, who: User) -> list[Running]:
    """Return the passes of one person that go on (two statements)."""
    passes = list(CountPass.objects.filter(weekend=weekend, made_by=who, ended_at__isnull=True))
    mine: dict[int, dict[str, int]] = defaultdict(dict)
    for (ware_id, grade), tally in tallies_of(weekend).items() if passes else ():
        for part in tally.parts:
            if part.in_pass is not None:
                mine[part.in_pass.pk][f"{ware_id} {grade}"] = part.pieces
    return [Running(each.key, each.number, each.kind, each.where, mine[each.pk]) for each in passes]


def all_running(weekend: Weekend) -> list[CountPass]:
    """Return every pass that goes on, whoever goes round (one statement)."""
    passes = CountPass.objects.filter(weekend=weekend, ended_at__isnull=True)
    return list(passes.select_related("made_by"))


def tags() -> list[TagOf]:
    """Return everything that a tag at the stall can stand for (two statements)."""
    known = numbers()
    return [
        TagOf(ware.pk, ware.code, grade, known.get((ware.pk, grade), ""), piece(ware, grade))
        for ware in Ware.objects.named()
        for grade in (Grade.FIRST.value, Grade.SECOND.value)
    ]


def held_here(weekend: Weekend) -> list[HeldHere]:
    """Return the holds on the stall (two statements)."""
    holds = open_holds(place=weekend.fair.stall)
    promised = Commitment.objects.filter(hold__in=[hold.pk for hold in holds])
    names = {
        each.hold_id: each.supporter.first_name for each in promised.select_related("supporter")
    }
    return [
        HeldHere(
            hold.pk, hold.ware_id, hold.grade, hold.quantity, hold.label, names.get(hold.pk, ""),
            piece(hold.ware, hold.grade),
        )
        for hold in holds
    ]  # fmt: skip
