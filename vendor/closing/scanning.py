"""Counting one by one, by scanning or tapping: each piece adds one to a pass; `actions` names it.

A pass is one person's going round on one device. Its pieces come in batches that may be sent again
and late. What another pass has counted already is never added to by guessing: either the pass says
that it counts another corner, or counts again, or the device is asked of that ware and grade.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from django.db import transaction

from vendor.closing.counting import refuse_counting
from vendor.closing.models import MOST_COUNTED, CountPass, StallCount
from vendor.closing.tally import Spot, Tally, tally_of
from vendor.fairs.models import Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger.models import Hold
from vendor.ledger.posting import take_turn
from vendor.ware.models import Ware


class Beside(StrEnum):
    """How a piece stands to what another pass has counted of its ware and grade."""

    UNSAID = ""
    ELSEWHERE = "elsewhere"
    AGAIN = "again"


class Outcome(StrEnum):
    """What became of one scan."""

    COUNTED = "counted"
    ASKED = "asked"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Going:
    """A pass as its device names it: its key, what kind it is, and which corner it goes through."""

    key: str
    kind: str
    where: str = ""


@dataclass(frozen=True, slots=True)
class Scan:
    """One piece that was counted, or the taking back of one (`undoes`: its key)."""

    key: str
    ware_id: int
    grade: str
    hold_id: int | None = None
    undoes: str = ""
    beside: Beside = Beside.UNSAID


@dataclass(frozen=True, slots=True)
class Scanned:
    """What became of a scan, and why in a sentence where it is not written."""

    key: str
    outcome: Outcome
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """A batch as it was taken: its pass, each scan's outcome, how what it touched now stands."""

    in_pass: CountPass
    answers: tuple[Scanned, ...]
    standing: dict[Spot, Tally]


def scan_pieces(
    *, weekend: Weekend, going: Going, scans: Sequence[Scan], who: User, now: datetime.datetime
) -> Taken:
    """Take in a batch of scans of one pass, each once by its key, in a fixed number of statements.

    One more for each piece that is taken back in the very batch that counted it.

    Each has its own outcome: counted, asked (somebody else has counted that ware: does it stand
    elsewhere, or is it counted again?), or refused with a sentence. Refuses a closed weekend
    (WeekendClosed) and a pass that is somebody else's, as a whole.
    """
    with transaction.atomic():
        take_turn()
        refuse_counting(weekend)
        batch = _Batch(weekend, the_pass(weekend, going, who=who, now=now), who, now)
        batch.read(scans)
        answers = tuple(batch.take(scan) for scan in scans)
        batch.write()
    touched = {(scan.ware_id, scan.grade) for scan in scans}
    return Taken(batch.in_pass, answers, batch.standing(touched))


def end_pass(*, weekend: Weekend, number: int, who: User, now: datetime.datetime) -> CountPass:
    """End a pass: from then on what it counted is held against the book. Ended again, it stays.

    Refused by a helper for somebody else's pass, and where there is no such pass.
    """
    with transaction.atomic():
        take_turn()
        refuse_counting(weekend)
        found = CountPass.objects.filter(weekend=weekend, number=number).first()
        if found is None:
            raise Refused("There is no such pass. Nothing was changed: look at the count again.")
        if not who.is_owner and found.made_by_id != who.pk:
            raise Refused(f"{found.made_by} or the owner ends pass {number}. Nothing was changed.")
        if found.ended_at is None:
            found.ended_at, found.ended_by = now, who
            found.save(update_fields=["ended_at", "ended_by"])
    return found


def the_pass(weekend: Weekend, going: Going, *, who: User, now: datetime.datetime) -> CountPass:
    """Return the pass that a device goes on with, or begin it; call in your turn."""
    found = CountPass.objects.select_related("made_by").filter(key=going.key).first()
    if found is None:
        number = CountPass.objects.filter(weekend=weekend).count() + 1
        return CountPass.objects.create(
            key=going.key, weekend=weekend, number=number, kind=going.kind, where=going.where,
            made_by=who, made_at=now,
        )  # fmt: skip
    if (found.weekend_id, found.made_by_id) != (weekend.pk, who.pk):
        raise Refused(
            "This pass was begun by somebody else, or at another weekend. Nothing was counted: "
            "begin a pass of your own."
        )
    return found


@dataclass
class _Batch:
    """The scans of one batch on their way in; what they follow on is read once."""

    weekend: Weekend
    in_pass: CountPass
    who: User
    now: datetime.datetime
    chains: dict[Spot, list[StallCount]] = field(default_factory=dict)
    known: dict[str, StallCount] = field(default_factory=dict)
    fresh: list[StallCount] = field(default_factory=list)
    ware: set[int] = field(default_factory=set)
    holds: dict[int, Hold] = field(default_factory=dict)

    def read(self, scans: Sequence[Scan]) -> None:
        """Read the ware, the holds and every act so far that the scans are about."""
        ids = {scan.ware_id for scan in scans}
        self.ware = set(Ware.objects.filter(pk__in=ids).values_list("pk", flat=True))
        holds = Hold.objects.filter(place_id=self.weekend.fair.stall_id, quantity__gt=0)
        self.holds = {hold.pk: hold for hold in holds}
        rows = StallCount.objects.filter(weekend=self.weekend, ware__in=ids)
        for row in rows.select_related("made_by", "in_pass__made_by").order_by("version"):
            self.chains.setdefault((row.ware_id, row.grade), []).append(row)
        sent = {scan.key for scan in scans} | {scan.undoes for scan in scans}
        self.known = {row.key: row for row in StallCount.objects.filter(key__in=sent)}

    def take(self, scan: Scan) -> Scanned:
        """Count one piece, or take one back."""
        if scan.key in self.known:
            return Scanned(scan.key, Outcome.COUNTED)
        if scan.ware_id not in self.ware:
            return Scanned(scan.key, Outcome.REFUSED, "There is no such ware: nothing was counted.")
        chain = self.chains.setdefault((scan.ware_id, scan.grade), [])
        return self._undo(scan, chain) if scan.undoes else self._count(scan, chain)

    def _count(self, scan: Scan, chain: list[StallCount]) -> Scanned:
        tally = tally_of(chain)
        standing = tally.counted if tally else 0
        if standing >= MOST_COUNTED:
            return Scanned(
                scan.key, Outcome.REFUSED, f"{standing} are counted: that can't be right."
            )
        if scan.hold_id is not None and (why := self._not_held(scan, tally)):
            return Scanned(scan.key, Outcome.REFUSED, why)
        again = False
        if tally and tally.parts and tally.by(self.in_pass) is None:
            beside = scan.beside or _usual(self.in_pass)
            if not beside:
                return Scanned(scan.key, Outcome.ASKED, _told(tally))
            again = beside == Beside.AGAIN
        counted, more = (1, 0) if again else (standing + 1, 1)
        self._add(scan, chain, counted=counted, more=more, held_id=scan.hold_id)
        return Scanned(scan.key, Outcome.COUNTED)

    def _not_held(self, scan: Scan, tally: Tally | None) -> str:
        """Say why a piece can't be that of a hold; empty where it can."""
        hold = self.holds.get(scan.hold_id or 0)
        if hold is None or (hold.ware_id, hold.grade) != (scan.ware_id, scan.grade):
            return "That piece is not held here any more: count it as any other."
        if tally and tally.held.count(hold.pk) >= hold.quantity:
            return f"{hold.label} is counted already: it was not counted twice."
        return ""

    def _undo(self, scan: Scan, chain: list[StallCount]) -> Scanned:
        target = self.known.get(scan.undoes)
        ours = target is not None and target in chain and target.in_pass_id == self.in_pass.pk
        if target is None or not ours or target.undoes_id is not None:
            return Scanned(scan.key, Outcome.REFUSED, "What was to be undone is not counted.")
        if any(row.undoes_id == target.pk for row in chain if row.undoes_id is not None):
            return Scanned(scan.key, Outcome.COUNTED)
        if target.pk is None:
            self.write()
        left = tally_of([*chain, StallCount(undoes_id=target.pk)])
        counted = left.counted if left and left.parts else None
        self._add(scan, chain, counted=counted, undoes=target)
        return Scanned(scan.key, Outcome.COUNTED)

    def _add(self, scan: Scan, chain: list[StallCount], **said: object) -> None:
        row = StallCount(
            key=scan.key, weekend=self.weekend, ware_id=scan.ware_id, grade=scan.grade,
            version=len(chain) + 1, in_pass=self.in_pass, made_by=self.who, made_at=self.now,
            **said,
        )  # fmt: skip
        chain.append(row)
        self.known[row.key] = row
        self.fresh.append(row)

    def write(self) -> None:
        """Write down what is new so far."""
        StallCount.objects.bulk_create(self.fresh)
        self.fresh = []

    def standing(self, touched: set[Spot]) -> dict[Spot, Tally]:
        """Return how each ware and grade that was scanned stands by now."""
        found = {spot: tally_of(self.chains.get(spot, [])) for spot in touched}
        return {spot: tally for spot, tally in found.items() if tally is not None}


def _usual(in_pass: CountPass) -> Beside:
    """Return what a pass says of all its pieces: the first time round says nothing."""
    kinds = CountPass.Kind
    return {kinds.ELSEWHERE: Beside.ELSEWHERE, kinds.AGAIN: Beside.AGAIN}.get(
        kinds(in_pass.kind), Beside.UNSAID
    )


def _told(tally: Tally) -> str:
    """Say who has counted it; not how many, so that nobody copies it."""
    names = dict.fromkeys(
        f"{part.who}{f', {part.where}' if part.where else ''}" for part in tally.parts
    )
    return f"Counted already by {'; '.join(names)}."
