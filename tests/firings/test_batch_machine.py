"""Batches against plain books: whatever is done in whatever order, every piece is somewhere."""

import itertools
from collections import Counter
from collections.abc import Callable

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from tests.factories import NOW, WareFactory
from tests.firings.boards import MONDAY
from tests.firings.kiln import facts, owner
from vendor.firings import actions, batching, unloading
from vendor.firings.actions import Load
from vendor.firings.batching import Lost
from vendor.firings.models import Batch, BatchStep, Firing, FiringLine, Stage
from vendor.house.errors import Refused
from vendor.ledger.models import Balance

FEW = st.integers(min_value=0, max_value=7)
WHICH = st.integers(min_value=0, max_value=1)


class Undo(Exception):  # noqa: N818
    """Leaves the machine's transaction and takes everything in it back."""


class BatchMachine(RuleBasedStateMachine):
    """Does to two batches of one form what a studio does, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.keys = (f"machine-{number}" for number in itertools.count())
        # What was lost outside of kilns, by batch: the steps that stand, in pieces.
        self.lost: list[list[tuple[int, int]]] = [[], []]

    @initialize()
    def studio(self) -> None:
        """Two batches of one form, and two ware that it can become."""
        self.who = owner()
        self.wares = [WareFactory()]
        self.wares.append(WareFactory(form=self.wares[0].form))
        self.batches = [
            batching.start_batch(
                key=next(self.keys), form=self.wares[0].form, pieces=pieces, thrown_on=MONDAY,
                who=self.who, now=NOW,
            )
            for pieces in (7, 4)
        ]  # fmt: skip

    def teardown(self) -> None:
        """Leave the database as it was."""
        self.atomic.__exit__(Undo, Undo(), None)

    def tries(self, act: Callable[[], object]) -> bool:
        """Do an act; where it is refused, nothing has changed."""
        before = list(Batch.objects.values())
        try:
            with transaction.atomic():
                act()
        except Refused:
            assert list(Batch.objects.values()) == before
            return False
        return True

    def note(self, which: int) -> None:
        """Write the loss of the latest step into the plain books."""
        step = self.batches[which].steps.last()
        assert step is not None
        if step.lost:
            self.lost[which].append((step.pk, step.lost))

    @rule(which=WHICH, to=st.sampled_from(Stage.values), lost=FEW)
    def move_on(self, which: int, to: int, lost: int) -> None:
        loss = Lost(lost, "cracked" if lost else "")
        if self.tries(
            lambda: batching.move_on(
                key=next(self.keys), batch=self.batches[which], to=to, lost=loss, who=self.who,
                now=NOW,
            )
        ):  # fmt: skip
            self.note(which)

    @rule(which=WHICH, lost=FEW)
    def lose(self, which: int, lost: int) -> None:
        if self.tries(
            lambda: batching.lose_pieces(
                key=next(self.keys), batch=self.batches[which], lost=Lost(lost, "warped"),
                who=self.who, now=NOW,
            )
        ):  # fmt: skip
            self.note(which)

    @rule(which=WHICH)
    def call_off(self, which: int) -> None:
        if self.tries(
            lambda: batching.call_off_batch(
                key=next(self.keys), batch=self.batches[which], reason="Too thin", who=self.who,
                now=NOW,
            )
        ):  # fmt: skip
            self.note(which)

    @rule(which=WHICH)
    def take_back(self, which: int) -> None:
        steps = BatchStep.objects.filter(batch=self.batches[which], undone_by=None)
        step = steps.exclude(what="taken_back").last()
        assert step is not None
        if self.tries(
            lambda: batching.take_back_step(
                key=next(self.keys), batch=self.batches[which], step=step, who=self.who, now=NOW
            )
        ):
            self.lost[which] = [each for each in self.lost[which] if each[0] != step.pk]

    @rule(pieces=st.tuples(FEW, FEW, FEW), bisque=st.booleans())
    def load(self, pieces: tuple[int, int, int], bisque: bool) -> None:
        one, two = self.batches
        things = [one.form_id] * 2 if bisque else [ware.pk for ware in self.wares]
        loads = [
            Load(things[0], pieces[0], one.pk),
            Load(things[1], pieces[1], two.pk),
            *([] if bisque else [Load(things[1], pieces[2], one.pk)]),
        ]
        kind = facts(kind="bisque", cone="06") if bisque else facts()
        self.tries(
            lambda: actions.record_firing(
                key=next(self.keys), facts=kind, loads=[load for load in loads if load.loaded],
                who=self.who, now=NOW,
            )
        )  # fmt: skip

    @rule(data=st.data())
    def unload(self, data: st.DataObject) -> None:
        firing = Firing.objects.to_unload().first()
        if firing is None:
            return
        counts = []
        for line in firing.lines.all():
            lost = data.draw(st.integers(0, line.loaded))
            seconds = data.draw(st.integers(0, line.loaded - lost))
            whole = line.loaded - lost - seconds
            counts.append(unloading.Count(line.pk, whole, seconds, {"stuck": lost}))
        unloading.unload_firing(firing=firing, counts=counts, who=self.who, now=NOW)

    @rule()
    def undo_unloading(self) -> None:
        firing = Firing.objects.filter(unloaded_at__isnull=False).first()
        if firing is not None:
            self.tries(
                lambda: unloading.undo_unloading(
                    firing=firing, who=self.who, now=NOW, reason="Miscounted"
                )
            )

    @rule(up=st.booleans())
    def call_off_or_take_up_a_firing(self, up: bool) -> None:
        firing = Firing.objects.filter(called_off_at__isnull=not up, unloaded_at=None).first()
        if firing is None:
            return
        if up:
            self.tries(lambda: actions.take_up_firing(firing=firing, who=self.who, now=NOW))
        else:
            actions.call_off_firing(firing=firing, who=self.who, now=NOW)

    @invariant()
    def every_piece_is_somewhere(self) -> None:
        """Begun = lost + in kilns + out + at hand, with each side counted by itself."""
        if not hasattr(self, "batches"):
            return
        out = Counter[int]()
        for which, batch in enumerate(self.batches):
            batch.refresh_from_db()
            lines = list(FiringLine.objects.filter(batch=batch).select_related("firing"))
            in_kiln = sum(line.loaded for line in lines if line.firing.is_open)
            counted = [line for line in lines if line.firing.is_unloaded]
            ware = [line for line in counted if not line.firing.is_bisque]
            for line in ware:
                out[line.ware_id or 0] += (line.firsts or 0) + (line.seconds or 0)
            came = sum((line.firsts or 0) + (line.seconds or 0) for line in ware)
            lost = sum(pieces for _, pieces in self.lost[which])
            lost += sum(line.lost or 0 for line in counted)
            assert (batch.lost, batch.in_kiln, batch.out) == (lost, in_kiln, came)
            assert batch.begun == lost + in_kiln + came + batch.at_hand
            assert 0 <= batch.to_glaze <= batch.at_hand
            assert batch.is_over == (lost + came == batch.begun)
        stock = Counter[int]()
        for row in Balance.objects.filter(place__kind="studio"):
            stock[row.ware_id] += row.on_hand
        assert +stock == +out


@pytest.mark.django_db
def test_in_any_order_every_piece_of_a_batch_is_somewhere() -> None:
    """Acts by hand, firings, unloadings and what undoes them.

    On PostgreSQL, where every statement travels, a quarter of them: the rules are the same.
    """
    run_state_machine_as_test(
        BatchMachine,
        settings=settings(
            max_examples=10 if connection.vendor == "postgresql" else 40,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
