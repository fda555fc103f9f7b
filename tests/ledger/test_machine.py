"""The ledger against a plain model of it: any order of acts keeps every rule."""

import datetime
import itertools
from collections import defaultdict

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from tests.factories import NOW, OwnerFactory, StudioFactory, WareFactory, shelf, stall
from vendor.house.errors import Refused
from vendor.ledger import actions, holds
from vendor.ledger.actions import Counted, Line
from vendor.ledger.audit import audit
from vendor.ledger.models import Balance, Entry, Hold, Place

Spot = tuple[int, int, str]
Effect = dict[Spot, int]
GRADES = st.sampled_from(["first", "second"])
FEW = st.integers(min_value=1, max_value=6)


class Undo(Exception):  # noqa: N818
    """Leaves the machine's transaction and takes everything in it back."""


class LedgerMachine(RuleBasedStateMachine):
    """Does what a season does, in any order, and keeps its own plain books beside."""

    entries = Bundle("entries")
    kept = Bundle("kept")

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.keys = (f"key-{number}" for number in itertools.count())
        self.on_hand: Effect = defaultdict(int)
        self.held: dict[int, tuple[Spot, int]] = {}
        # What each entry did: stock by spot, and which hold it changed how.
        self.did: dict[int, tuple[Effect, dict[int, tuple[Spot, int]]]] = {}
        self.undone: set[int] = set()

    @initialize()
    def studio(self) -> None:
        """An owner, two ware, a shelf and a stall."""
        StudioFactory()
        self.who = OwnerFactory()
        self.ware = [WareFactory().pk, WareFactory().pk]
        self.places = [shelf(), stall()]

    def teardown(self) -> None:
        """Leave the database as it was."""
        self.atomic.__exit__(Undo, Undo(), None)

    def spot(self, place: int, ware: int, grade: str) -> Spot:
        return (self.places[place].pk, self.ware[ware], grade)

    def held_at(self, spot: Spot) -> int:
        return sum(quantity for at, quantity in self.held.values() if at == spot)

    def free(self, spot: Spot) -> int:
        return self.on_hand[spot] - self.held_at(spot)

    def say(self) -> dict[str, object]:
        return {"key": next(self.keys), "who": self.who, "now": NOW}

    def note(
        self, entry: Entry, effect: Effect, held: dict[int, tuple[Spot, int]] | None = None
    ) -> int:
        """Write what an entry did into the plain books."""
        for spot, change in effect.items():
            self.on_hand[spot] += change
        for hold, (spot, change) in (held or {}).items():
            self.held[hold] = (spot, self.held.get(hold, (spot, 0))[1] + change)
        self.did[entry.pk] = (effect, held or {})
        return entry.pk

    @rule(target=entries, place=st.sampled_from([0, 1]), ware=st.sampled_from([0, 1]),
          grade=GRADES, quantity=FEW)  # fmt: skip
    def receive(self, place: int, ware: int, grade: str, quantity: int) -> int:
        """Pieces come out of the kiln; the same document sent again changes nothing."""
        act = self.say() | {
            "lines": [Line(self.ware[ware], quantity, grade)], "into": self.places[place],
        }  # fmt: skip
        entry = actions.receive(**act)
        assert actions.receive(**act) == entry
        return self.note(entry, {self.spot(place, ware, grade): quantity})

    @rule(target=entries, source=st.sampled_from([0, 1]), ware=st.sampled_from([0, 1]),
          grade=GRADES, quantity=FEW)  # fmt: skip
    def move(self, source: int, ware: int, grade: str, quantity: int) -> object:
        """Free pieces move; held or missing ones don't."""
        here, there = self.spot(source, ware, grade), self.spot(1 - source, ware, grade)
        act = self.say() | {
            "lines": [Line(self.ware[ware], quantity, grade)],
            "source": self.places[source], "target": self.places[1 - source],
        }  # fmt: skip
        if quantity > self.free(here):
            with pytest.raises(Refused):
                actions.move(**act)
            return -1
        entry = actions.move(**act)
        assert actions.move(**act) == entry
        return self.note(entry, {here: -quantity, there: quantity})

    @rule(target=kept, place=st.sampled_from([0, 1]), ware=st.sampled_from([0, 1]), grade=GRADES,
          quantity=st.integers(min_value=1, max_value=3))  # fmt: skip
    def hold(self, place: int, ware: int, grade: str, quantity: int) -> int:
        """Free pieces are set aside; no more than there are."""
        spot = self.spot(place, ware, grade)
        act = self.say() | {
            "ware_id": self.ware[ware], "grade": grade, "at": self.places[place],
            "quantity": quantity, "purpose": "commitment", "label": "Promise",
        }  # fmt: skip
        if quantity > self.free(spot):
            with pytest.raises(Refused):
                holds.hold(**act)
            return -1
        hold = holds.hold(**act)
        assert holds.hold(**act) == hold
        self.note(hold.lines.get().entry, {}, {hold.pk: (spot, quantity)})
        return hold.pk

    @rule(target=entries, hold=consumes(kept), send=st.booleans())
    def let_go(self, hold: int, send: bool) -> int:
        """A hold is released, or its pieces go to whom they were held for."""
        if self.held.get(hold, ((0, 0, ""), 0))[1] == 0:
            return -1
        spot, quantity = self.held[hold]
        act = self.say() | {"hold": Hold.objects.get(pk=hold), "reason": "as agreed"}
        entry = holds.send(**act) if send else holds.release(**act)
        return self.note(entry, {spot: -quantity} if send else {}, {hold: (spot, -quantity)})

    @rule(target=entries, ware=st.sampled_from([0, 1]), grade=GRADES, quantity=FEW)
    def sell(self, ware: int, grade: str, quantity: int) -> int:
        """A sale takes the free pieces, finds missing ones, and stops before a held one."""
        spot = self.spot(1, ware, grade)
        act = self.say() | {
            "lines": [Line(self.ware[ware], quantity, grade)], "source": self.places[1],
        }  # fmt: skip
        found = max(0, quantity - self.free(spot))
        if found and self.held_at(spot):
            with pytest.raises(Refused):
                actions.sell(**act)
            act["not_the_held"] = True
        entry = actions.sell(**act)
        assert actions.sell(**act) == entry
        return self.note(entry, {spot: found - quantity})

    @rule(target=entries, hold=consumes(kept))
    def sell_the_held(self, hold: int) -> int:
        """A held piece is sold by the override that names it, and its hold is over."""
        if self.held.get(hold, ((0, 0, ""), 0))[1] == 0:
            return -1
        spot, quantity = self.held[hold]
        row = Hold.objects.select_related("place").get(pk=hold)
        entry = actions.sell(
            lines=[Line(row.ware_id, quantity, row.grade)], source=row.place, overrides=[row],
            **self.say(),
        )  # fmt: skip
        return self.note(entry, {spot: -quantity}, {hold: (spot, -quantity)})

    @rule(target=entries, place=st.sampled_from([0, 1]), ware=st.sampled_from([0, 1]),
          grade=GRADES, counted=st.integers(min_value=0, max_value=12))  # fmt: skip
    def count(self, place: int, ware: int, grade: str, counted: int) -> int:
        """A count sets what stands there, unless that would be less than is held."""
        spot = self.spot(place, ware, grade)
        act = self.say() | {
            "counts": [Counted(self.ware[ware], counted, grade)], "at": self.places[place],
            "reason": "counted",
        }  # fmt: skip
        if counted < self.held_at(spot):
            with pytest.raises(Refused):
                actions.correct(**act)
            return -1
        entry = actions.correct(**act)
        if entry is None:
            assert counted == self.on_hand[spot]
            return -1
        return self.note(entry, {spot: counted - self.on_hand[spot]})

    @rule(entry=entries)
    def reverse(self, entry: int) -> None:
        """An entry is undone once, as long as its pieces are still there."""
        if entry == -1:
            return
        act = self.say() | {"entry": Entry.objects.get(pk=entry), "reason": "a mistake"}
        effect, held = self.did[entry]
        after = {spot: self.on_hand[spot] - change for spot, change in effect.items()}
        spots = {*effect, *(spot for spot, _ in held.values())}
        held_then = {
            spot: self.held_at(spot) - sum(c for at, c in held.values() if at == spot)
            for spot in spots
        }
        possible = entry not in self.undone and all(
            0 <= held_then[spot] <= after.get(spot, self.on_hand[spot]) for spot in spots
        )
        if not possible:
            with pytest.raises(Refused):
                actions.reverse(**act)
            return
        back = actions.reverse(**act)
        assert actions.reverse(**act) == back
        self.undone.add(entry)
        self.note(
            back,
            {spot: -change for spot, change in effect.items()},
            {hold: (spot, -change) for hold, (spot, change) in held.items()},
        )

    @invariant()
    def the_books_agree(self) -> None:
        """Recorded, rebuilt and plain figures are the same after every act."""
        rows = {(row.place_id, row.ware_id, row.grade): row for row in Balance.objects.all()}
        for spot in rows.keys() | self.on_hand.keys():
            row = rows.get(spot) or Balance(on_hand=0, held=0)
            assert (row.on_hand, row.held) == (self.on_hand[spot], self.held_at(spot))
            assert 0 <= row.held <= row.on_hand
        assert audit() == []
        assert not Place.objects.filter(closed_through__gt=datetime.date.min).exists()


@pytest.mark.django_db
def test_any_order_of_acts_keeps_every_rule_of_the_ledger() -> None:
    """At least 200 runs of 50 acts, each checked against the plain books and the audit.

    On PostgreSQL, where every statement travels, a quarter of them: the rules are the same.
    """
    runs = 50 if connection.vendor == "postgresql" else 200
    run_state_machine_as_test(
        LedgerMachine,
        settings=settings(
            max_examples=runs,
            stateful_step_count=50,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )
