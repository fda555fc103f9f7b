"""What can be entered on a Shelf page, line by line: ware and grade, with what is recorded."""

from collections.abc import Iterable
from dataclasses import dataclass

from vendor.ledger import queries
from vendor.ledger.models import Place
from vendor.ware.models import Grade, Ware

MOST = 100_000
"""No line of a page has more pieces than this: beyond it is a slip of the keys."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One ware and grade on a page; `at_most` is where its buttons stop (None: anywhere)."""

    ware: Ware
    grade: str
    on_hand: int = 0
    held: int = 0
    at_most: int | None = None

    @property
    def name(self) -> str:
        """What its field is called."""
        return f"{self.ware.pk}-{self.grade}"

    @property
    def label(self) -> str:
        """The piece in words."""
        return f"{self.ware.name} (second)" if self.is_second else self.ware.name

    @property
    def is_second(self) -> bool:
        """Whether it is a flawed piece."""
        return self.grade == Grade.SECOND

    @property
    def free(self) -> int:
        """On hand less held."""
        return self.on_hand - self.held


def of_all_ware() -> list[Spot]:
    """Return a spot for each first and second of all current ware (one statement)."""
    return [Spot(ware, str(grade)) for ware in Ware.objects.current().named() for grade in Grade]


def at(
    place: Place, *, ware: Ware | None = None, sent: Iterable[str] = (), free_only: bool = False
) -> list[Spot]:
    """Return a spot for what stands at a place (two statements at most).

    With `ware` only that ware, in both grades, whether it stands there or not. `sent` are the
    names of the fields that came back from a page: their spots are there even when the pieces
    have gone since. `free_only` stops the buttons at what is free.
    """
    rows = queries.stock(place=place, ware=ware)
    found = {
        (row.ware.pk, row.grade): Spot(
            row.ware, row.grade, row.on_hand, row.held, row.free if free_only else None
        )
        for row in rows
    }
    if ware is not None:
        for grade in Grade:
            found.setdefault((ware.pk, str(grade)), Spot(ware, str(grade)))
    gone = _named(sent) - found.keys()
    if gone:
        known = {each.pk: each for each in Ware.objects.named().filter(pk__in=[k for k, _ in gone])}
        for key, sort in sorted(gone):
            if key in known:
                found[key, sort] = Spot(known[key], sort)
    return list(found.values())


def _named(fields: Iterable[str]) -> set[tuple[int, str]]:
    """Return the ware and grade that field names stand for; other names are passed over."""
    found = set()
    for name in fields:
        key, _, grade = name.partition("-")
        if key.isascii() and key.isdigit() and len(key) < 18 and grade in Grade.values:
            found.add((int(key), grade))
    return found
