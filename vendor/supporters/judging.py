"""What each row of a contributions' file would do, before anything is written.

Reads only, in a fixed number of statements. The same judgement is shown on the preview and acted
upon by the import.
"""

import datetime
import hashlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from vendor.house.cells import RowRejected
from vendor.house.models import Studio
from vendor.house.money import Currency
from vendor.supporters.credit_values import Kind
from vendor.supporters.mapping import Columns, State, Told, read_row
from vendor.supporters.models import Contribution, ContributionFile, Level, LevelTerms, Supporter

NEW, CHANGED, SAME, REJECTED = "new", "changed", "same", "rejected"
WORDS = {
    NEW: "Will be added",
    CHANGED: "Will be changed",
    SAME: "There already",
    REJECTED: "Rejected",
}


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one row (counted from 2, the line under the head) would do, and why.

    `supporter` is None for somebody who is to be added by name, or where the row is rejected.
    """

    number: int
    verdict: str
    why: str = ""
    told: Told | None = None
    supporter: Supporter | None = None
    level: Level | None = None
    key: str = ""
    state: State | None = None
    given: str = ""
    """Whose it is as the file says, where the row can't be read."""

    @property
    def who(self) -> str:
        """Whose it is, in words."""
        if self.supporter is not None:
            return self.supporter.name
        return (self.told.name or self.told.email) if self.told else self.given

    @property
    def words(self) -> str:
        """The verdict in words."""
        return WORDS[self.verdict]

    @property
    def month(self) -> datetime.date | None:
        """The month that it is for."""
        return self.told.month if self.told else None

    @property
    def amount(self) -> int | None:
        """The amount in minor units, a refund below zero."""
        if self.told is None:
            return None
        return -self.told.amount if self.told.kind is Kind.REFUND else self.told.amount

    @property
    def level_name(self) -> str:
        """The level's name."""
        return self.level.name if self.level else ""


def judge(file: ContributionFile, columns: Columns, studio: Studio) -> list[Verdict]:
    """Return what each row of a file would do (four statements)."""
    known = _Known(columns)
    currency = Currency.of(studio.currency)
    read: list[Verdict] = []
    for number, cells in enumerate(file.rows, start=2):
        row = dict(zip(file.head, cells, strict=True))
        try:
            told = read_row(row, columns, currency, studio.language)
            read.append(known.resolved(number, told))
        except RowRejected as rejected:
            given = row.get(columns.name) or row.get(columns.email) or ""
            read.append(Verdict(number, REJECTED, str(rejected), given=given))
    return _compared(read)


def _compared(read: Sequence[Verdict]) -> list[Verdict]:
    """Return the verdicts with what is on record, and with the rows before them, in mind."""
    keys = {each.key for each in read if each.key}
    stored = {row.key: row for row in Contribution.objects.filter(key__in=keys)}
    seen: dict[str, tuple[tuple[int | str, int, datetime.date, int], State]] = {
        key: (
            (row.supporter_id, row.level_id, row.month, row.amount),
            State(Kind(row.kind), row.on, row.refunded_on),
        )
        for key, row in stored.items()
    }
    return [_against(each, seen) if each.told else each for each in read]


def _against(
    each: Verdict, seen: dict[str, tuple[tuple[int | str, int, datetime.date, int], State]]
) -> Verdict:
    told, level = each.told, each.level
    assert told is not None
    assert level is not None
    identity = each.supporter.pk if each.supporter else _identity(told)
    facts = (identity, level.pk, told.month, told.amount)
    if each.key not in seen:
        seen[each.key] = (facts, told.state)
        return _with(each, NEW, each.why, told.state)
    before, state = seen[each.key]
    if before != facts:
        return Verdict(
            each.number,
            REJECTED,
            f"The reference {told.reference} is on record with another supporter, level, month "
            "or amount.",
            told,
            each.supporter,
            level,
        )
    merged = state.merged(told.state)
    seen[each.key] = (facts, merged)
    return _with(each, SAME if merged == state else CHANGED, _change(state, merged), merged)


def _with(each: Verdict, verdict: str, why: str, state: State) -> Verdict:
    return Verdict(
        each.number, verdict, why, each.told, each.supporter, each.level, each.key, state
    )


def _change(before: State, after: State) -> str:
    if before.kind is not after.kind:
        return "It had failed, and was paid after all."
    if before.refunded_on is None and after.refunded_on is not None:
        return "It was refunded."
    return "" if before == after else "Its day is corrected."


def _identity(told: Told) -> str:
    """Return how a row tells whose it is: by e-mail address, else by name."""
    return told.email or told.name.casefold()


class _Known:
    """The supporters and levels that rows are matched with."""

    def __init__(self, columns: Columns) -> None:
        self._columns = columns
        people = list(Supporter.objects.known())
        self._by_email = {person.email: person for person in people if person.email}
        self._by_name: dict[str, list[Supporter]] = defaultdict(list)
        for person in people:
            self._by_name[person.name.casefold()].append(person)
        self._levels = {level.name.casefold(): level for level in Level.objects.all()}
        self._by_pk = {level.pk: level for level in self._levels.values()}
        self._terms = list(LevelTerms.objects.order_by("from_month", "id"))

    def resolved(self, number: int, told: Told) -> Verdict:
        """Return a row with its supporter and level; RowRejected where they can't be told."""
        supporter = self._supporter(told)
        level = self._level(told)
        why = "" if supporter else "A new supporter is written down."
        asked = self._amounts(told.month).get(level.pk)
        if told.kind is Kind.PAID and asked is not None and told.amount < asked:
            why = f"{why} Less than the level asks.".strip()
        person = supporter.pk if supporter else _identity(told)
        return Verdict(
            number, NEW, why, told, supporter, level, self._key(told, person, level), told.state
        )

    def _supporter(self, told: Told) -> Supporter | None:
        if told.email and told.email in self._by_email:
            return self._by_email[told.email]
        named = self._by_name.get(told.name.casefold(), []) if told.name else []
        # A namesake with another address is somebody else.
        named = [each for each in named if not told.email or not each.email]
        if len(named) > 1:
            raise RowRejected(f"There are {len(named)} supporters called {told.name}.")
        if named:
            return named[0]
        if not self._columns.add_people:
            raise RowRejected(f"{told.name or told.email} is no supporter yet.")
        if told.email and ("@" not in told.email or len(told.email) > 254):
            raise RowRejected(f"“{told.email}” is no e-mail address.")
        return None

    def _level(self, told: Told) -> Level:
        if told.level:
            own = self._columns.level_words.get(told.level.casefold(), told.level)
            found = self._levels.get(own.casefold())
            if found is None:
                raise RowRejected(f"“{told.level}” is none of the levels.")
            return found
        asked = self._amounts(told.month)
        fitting = [pk for pk, amount in asked.items() if amount == told.amount]
        if len(fitting) != 1:
            raise RowRejected("No level is named, and the amount is not that of just one level.")
        return self._by_pk[fitting[0]]

    def _amounts(self, month: datetime.date) -> dict[int, int]:
        """Return what each level asks for in a month."""
        return {each.level_id: each.amount for each in self._terms if each.from_month <= month}

    def _key(self, told: Told, person: int | str, level: Level) -> str:
        """Return the key under which a row is written once, however often it is imported."""
        refund = told.kind is Kind.REFUND
        if told.reference:
            said = f"reference|{refund}|{told.reference}"
        else:
            # A failed try and the payment that made up for it are two lines of one month.
            said = f"row|{person}|{level.pk}|{told.kind}|{told.month}|{told.on}|{told.amount}"
        return hashlib.sha256(said.encode()).hexdigest()
