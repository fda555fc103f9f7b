"""What the closing's pages show beyond a weekend's own figures: progress, statements.

Named reads in a fixed number of statements. Nothing here writes.
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import QuerySet

from vendor.closing.equation import Pots, shrinkage_ppm
from vendor.closing.models import Closing, ClosingCard, ClosingCash, ClosingLine, StallCount
from vendor.closing.queries import NOTHING, StallLine
from vendor.closing.tally import Spot
from vendor.fairs.models import Weekend
from vendor.ledger.posting import piece
from vendor.ware.models import Grade, Ware

STRAYS = 20
POTS = (
    ("opening", "Opening"),
    ("packed_in", "Packed in"),
    ("taken_back", "Taken back"),
    ("found", "Found"),
    ("corrected", "Corrected"),
    ("sold", "Sold"),
    ("returned", "Sent home"),
    ("broken", "Broken"),
    ("given", "Given"),
    ("traded", "Traded"),
    ("own_use", "Own use"),
    ("handed_over", "Handed over"),
)
ENDS = (("expected", "Expected"), ("counted", "Counted"), ("variance", "Differs"))
HOME = (("home", "Moved on"),)


@dataclass(frozen=True, slots=True)
class First:
    """The first page of closing: what to close next, and what comes."""

    waiting: tuple[Weekend, ...]
    coming: Weekend | None


@dataclass(frozen=True, slots=True)
class Statement:
    """A statement with its lines and their totals. Amounts in minor units."""

    closing: Closing
    lines: tuple[ClosingLine, ...]
    total: Pots
    cash: tuple[ClosingCash, ...] = ()
    cards: tuple[ClosingCard, ...] = ()
    accepted: Mapping[Spot, str] = field(default_factory=dict)
    """Who gave the reason that stands, by ware and grade."""

    @property
    def counted(self) -> int:
        """All pieces counted."""
        return sum(line.counted for line in self.lines)

    @property
    def variance(self) -> int:
        """All pieces counted less all expected."""
        return sum(line.variance for line in self.lines)

    @property
    def home(self) -> int:
        """All pieces that left the stall after the count."""
        return sum(line.home for line in self.lines)

    @property
    def differing(self) -> tuple[ClosingLine, ...]:
        """The lines with a difference or with found pieces."""
        return tuple(line for line in self.lines if line.variance or line.found)

    @property
    def columns(self) -> list[tuple[str, str]]:
        """The columns in which something happened, by name and head."""
        used = [(name, head) for name, head in POTS if any(getattr(x, name) for x in self.lines)]
        return [*used, *ENDS, *(HOME if self.home else ())]

    @property
    def heads(self) -> list[str]:
        """The heads of the columns."""
        return [head for _, head in self.columns]

    @property
    def table(self) -> list[tuple[str, list[str]]]:
        """Each line's name and its columns in words."""
        return [
            (line.name, [written(name, getattr(line, name)) for name, _ in self.columns])
            for line in self.lines
        ]

    @property
    def rows(self) -> list[tuple[ClosingLine, list[tuple[str, str]]]]:
        """Each line with its columns: the figure's name where it opens into entries, and words."""
        opens = {name for name, _ in POTS}
        return [
            (
                line,
                [
                    (name if name in opens and getattr(line, name) else "", cell)
                    for (name, _), cell in zip(self.columns, cells, strict=True)
                ],
            )
            for line, (_, cells) in zip(self.lines, self.table, strict=True)
        ]

    @property
    def foot(self) -> list[str]:
        """The columns' totals in words."""
        ends = {
            "expected": self.total.expected,
            "counted": self.counted,
            "variance": self.variance,
            "home": self.home,
        }
        return [
            written(name, ends[name] if name in ends else getattr(self.total, name))
            for name, _ in self.columns
        ]

    @property
    def differences(self) -> list[tuple[str, str, int, str, str]]:
        """Each line that differs: name, by how much, how many were found, why, who said so."""
        return [
            (
                line.name,
                written("variance", line.variance),
                line.found,
                line.reason,
                self.accepted.get((line.ware_id, line.grade), ""),
            )
            for line in self.differing
        ]

    @property
    def lacking(self) -> int:
        """Pieces missing, less those too many (below zero: more too many than missing)."""
        return -self.variance

    @property
    def tills(self) -> tuple[ClosingCash, ...]:
        """Each count of each cash box, where there was more than one."""
        return self.cash if len(self.cash) > 1 else ()

    @property
    def short(self) -> int:
        """What the till is short (minor units), 0 where it is not."""
        return max(0, -self.closing.over_short)

    @property
    def missing_worth(self) -> int:
        """What the missing pieces, less those too many, were to bring (priced lines only)."""
        return -sum(line.variance * (line.price or 0) for line in self.lines)

    @property
    def shrinkage_ppm(self) -> int:
        """Missing pieces as a share of those expected, in parts per million."""
        return shrinkage_ppm(self.total.expected, self.counted)

    @property
    def card_total(self) -> int:
        """What stays of the cards."""
        closing = self.closing
        taken = closing.card_sales + closing.card_tips + closing.card_deposits
        return taken - closing.card_refunds

    @property
    def other_total(self) -> int:
        """What stays of other ways of paying."""
        closing = self.closing
        taken = closing.other_sales + closing.other_tips + closing.other_deposits
        return taken - closing.other_refunds

    @property
    def has_deposits(self) -> bool:
        """Whether any deposit was taken or paid back other than in cash."""
        return bool(self.closing.card_deposits or self.closing.other_deposits)


def written(name: str, value: int) -> str:
    """Return a figure of a statement in words: a difference with its sign."""
    return f"{value:+d}".replace("-", "−") if name == "variance" and value else str(value)


def first_page(*, today: datetime.date) -> First:
    """Return the weekends that wait for their closing, and the coming one (one statement).

    A weekend waits from its first day on.
    """
    weekends = (
        Weekend.objects.filter(closing__isnull=True)
        .select_related("fair__stall")
        .order_by("first_day", "id")
    )
    begun = [each for each in weekends if each.first_day <= today]
    ahead = [each for each in weekends if each.first_day > today]
    return First(tuple(begun), ahead[0] if ahead else None)


def closings() -> QuerySet[Closing]:
    """Return all statements, the latest first."""
    return Closing.objects.select_related("weekend__fair", "made_by").order_by("-number")


def strays(lines: Sequence[StallLine], search: str) -> list[StallLine]:
    """Return ware that was not on the stall by the book and whose name or code is searched for.

    So that what is there all the same can be counted (one statement). Nothing without a search.
    """
    words = search.casefold().split()
    if not words:
        return []
    known = {(line.ware.pk, line.grade) for line in lines}
    found = []
    for ware in Ware.objects.current().named():
        text = f"{ware.name} {ware.code}".casefold()
        if all(word in text for word in words):
            found += [
                StallLine(ware, grade, NOTHING)
                for grade in Grade.values
                if (ware.pk, grade) not in known
            ]
    return found[:STRAYS]


def matching(lines: Sequence[StallLine], search: str, *, only_open: bool) -> list[StallLine]:
    """Return the lines whose name or code has the words searched for, or those not counted yet."""
    words = search.casefold().split()
    return [
        line
        for line in lines
        if not (only_open and line.count)
        and all(word in f"{line.name} {line.ware.code}".casefold() for word in words)
    ]


def statement(closing: Closing) -> Statement:
    """Return a statement with its lines, and who explained them (four statements)."""
    lines = tuple(closing.lines.select_related("ware__form", "ware__finish").order_by("id"))
    columns = Pots.__slots__
    return Statement(
        closing,
        lines,
        Pots(**{name: sum(getattr(line, name) for line in lines) for name in columns}),
        tuple(closing.cash_lines.select_related("counted_by")),
        tuple(closing.card_lines.all()),
        _accepted(closing),
    )


def _accepted(closing: Closing) -> dict[Spot, str]:
    """Return who gave each ware and grade the reason that holds (one statement)."""
    given = StallCount.objects.filter(weekend=closing.weekend_id).exclude(reason="")
    rows = given.select_related("made_by").order_by("version")
    return {(row.ware_id, row.grade): str(row.made_by) for row in rows}


def other_ware(known: Sequence[tuple[int, str, str]]) -> list[tuple[int, str, str]]:
    """Return all current ware by grade that is not known: number, grade, name (one statement)."""
    spots = {(ware, grade) for ware, grade, _ in known}
    return [
        (ware.pk, grade, piece(ware, grade))
        for ware in Ware.objects.current().named()
        for grade in Grade.values
        if (ware.pk, grade) not in spots
    ]
