"""A batch on its way by hand: begun, moved on, pieces lost, called off, steps taken back."""

import datetime
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from tests.factories import NOW, FormFactory, StudioFactory
from tests.firings.boards import MONDAY, YESTERDAY, batch, figures, key, moved
from tests.firings.kiln import TODAY, owner
from vendor.firings import batching
from vendor.firings.batching import Lost
from vendor.firings.errors import (
    BatchOver,
    NotForward,
    NothingToTakeBack,
    NotSoMany,
    WrongDay,
)
from vendor.firings.models import Batch, BatchStep, Stage
from vendor.house.errors import Refused
from vendor.ledger.errors import KeyReused

pytestmark = pytest.mark.django_db


def lose(one: Batch, pieces: int, cause: str = "cracked", **more: Any) -> Batch:
    """Lose pieces of a batch."""
    said = Lost(pieces, cause, more.pop("note", ""))
    return batching.lose_pieces(
        key=more.pop("key", None) or key(), batch=one, lost=said, who=owner(), now=NOW, **more
    )


def call_off(one: Batch, reason: str = "Too thin", **more: Any) -> Batch:
    """Call a batch off."""
    return batching.call_off_batch(
        key=more.pop("key", None) or key(), batch=one, reason=reason, who=owner(), now=NOW
    )


def take_back(one: Batch, step: BatchStep | None = None, **more: Any) -> Batch:
    """Take back a step, the last one that was no taking back unless told otherwise."""
    last = step or one.steps.exclude(what="taken_back").filter(undone_by=None).last()
    assert last is not None
    return batching.take_back_step(
        key=more.pop("key", None) or key(), batch=one, step=last, who=owner(), now=NOW
    )


def test_a_batch_is_begun_with_its_pieces_and_its_day() -> None:
    """Batches are numbered in order, and every piece is at hand."""
    first, second = batch(24), batch(6)
    assert (first.number, second.number) == (1, 2)
    assert (first.stage, first.since, first.left) == (Stage.THROWN, MONDAY, 24)
    assert [step.what for step in first.steps.all()] == ["started"]


def test_a_batch_that_has_come_further_says_when_it_got_there() -> None:
    """What stood on the boards before the book was begun."""
    one = batch(24, stage=Stage.BISQUE, since=YESTERDAY)
    assert (one.stage, one.since, one.to_glaze, one.to_bisque) == (Stage.BISQUE, YESTERDAY, 24, 0)


def test_a_batch_moves_on_any_number_of_stages_with_the_day_of_each() -> None:
    """A stage that was passed over has no day."""
    one = moved(batch(), Stage.TRIMMED, on=MONDAY + datetime.timedelta(days=1))
    one = moved(one, Stage.BISQUE, on=YESTERDAY)
    days = {step.stage: step.on for step in one.steps.all()}
    assert days == {1: MONDAY, 2: MONDAY + datetime.timedelta(days=1), 4: YESTERDAY}
    assert (one.stage, one.since) == (Stage.BISQUE, YESTERDAY)


def test_pieces_are_lost_on_the_way_with_a_cause() -> None:
    """With a move, or between two."""
    one = lose(batch(12), 2, "collapsed", note="too wet")
    one = moved(one, Stage.DRY, lost=Lost(1, "cracked"))
    assert figures(one) == {"lost": 3, "out": 0, "in_kiln": 0, "at_hand": 9}
    assert [step.why for step in one.steps.all()] == [
        "", "2 lost, collapsed on the wheel or the board, too wet", "1 lost, cracked",
    ]  # fmt: skip


def test_a_batch_whose_last_piece_is_lost_is_over() -> None:
    """Nothing more can be done to it but to take that back."""
    one = lose(batch(3), 3)
    assert (one.is_over, one.state, one.ended_at) == (True, "All lost", NOW)
    for act in (lambda: moved(one, Stage.DRY), lambda: lose(one, 1), lambda: call_off(one)):
        with pytest.raises(BatchOver, match="Nothing was changed"):
            act()
    assert take_back(one).left == 3


def test_a_batch_is_called_off_with_a_reason_and_taken_up_again() -> None:
    """What was left goes back to clay."""
    one = moved(batch(12), Stage.TRIMMED)
    with pytest.raises(Refused, match="say why"):
        call_off(one, " ")
    one = call_off(one)
    assert (one.state, one.called_off, one.lost) == ("Called off", "Too thin", 12)
    one = take_back(one)
    assert (one.state, one.called_off, one.left) == ("Trimmed", "", 12)


def test_the_last_step_is_taken_back_and_stays_in_the_history() -> None:
    """Step by step, down to the beginning."""
    one = moved(moved(batch(), Stage.TRIMMED, on=YESTERDAY), Stage.DRY)
    one = take_back(one)
    assert (one.stage, one.since) == (Stage.TRIMMED, YESTERDAY)
    one = take_back(one)
    assert (one.stage, one.since) == (Stage.THROWN, MONDAY)
    assert [step.said for step in one.steps.all()] == [
        "Thrown", "Trimmed", "Dry", "Taken back: Dry", "Taken back: Trimmed",
    ]  # fmt: skip
    with pytest.raises(NothingToTakeBack, match="call it off"):
        take_back(one)


def test_only_the_last_step_is_taken_back() -> None:
    """A page from before something else happened changes nothing."""
    one = moved(batch(), Stage.TRIMMED)
    old = one.steps.last()
    one = moved(one, Stage.DRY)
    with pytest.raises(NothingToTakeBack, match="afresh"):
        take_back(one, old)
    assert Batch.objects.get().stage == Stage.DRY


@pytest.mark.parametrize("to", [Stage.THROWN, Stage.TRIMMED, Stage.DRY, 0, 6, 99])
def test_a_batch_only_moves_on_to_a_later_stage(to: int) -> None:
    """Neither back, nor to where it is, nor to a stage that there isn't."""
    one = moved(batch(), Stage.DRY)
    with pytest.raises(NotForward, match="Nothing was changed"):
        moved(one, to)


@pytest.mark.parametrize("pieces", [0, -1, 5001, 10**9])
def test_an_impossible_number_of_pieces_is_refused(pieces: int) -> None:
    """Nothing is begun."""
    with pytest.raises(NotSoMany, match="Nothing was written down"):
        batch(pieces)
    assert not Batch.objects.exists()


@pytest.mark.parametrize("lost", [Lost(13, "cracked"), Lost(-1, "cracked"), Lost(0, "cracked")])
def test_an_impossible_loss_is_refused(lost: Lost) -> None:
    """More than there are, fewer than none, and a cause of nothing."""
    one = batch(12)
    with pytest.raises(NotSoMany, match="Nothing was changed"):
        moved(one, Stage.DRY, lost=lost)
    with pytest.raises(NotSoMany):
        batching.lose_pieces(key=key(), batch=one, lost=lost, who=owner(), now=NOW)
    with pytest.raises(Refused, match="why they were lost"):
        lose(one, 1, "")
    assert figures(one)["lost"] == 0


def test_days_go_forward_and_not_into_the_days_to_come() -> None:
    """A batch is not dry before it was trimmed, and not tomorrow."""
    tomorrow = TODAY + datetime.timedelta(days=1)
    with pytest.raises(WrongDay, match="still to come"):
        batch(thrown_on=tomorrow)
    one = moved(batch(), Stage.TRIMMED, on=YESTERDAY)
    with pytest.raises(WrongDay, match="still to come"):
        moved(one, Stage.DRY, on=tomorrow)
    with pytest.raises(WrongDay, match="before that"):
        moved(one, Stage.DRY, on=MONDAY)
    with pytest.raises(WrongDay, match="before that"):
        lose(one, 1, on=MONDAY)


def test_every_act_sent_twice_is_done_once() -> None:
    """And a key is no pass for another act."""
    form = FormFactory()
    assert batch(form=form, key="b") == batch(form=form, key="b")
    one = Batch.objects.get()
    for _ in range(2):
        moved(one, Stage.TRIMMED, key="m", lost=Lost(1, "cracked"))
    for _ in range(2):
        lose(one, 2, key="l")
    for _ in range(2):
        call_off(one, key="c")
    step = one.steps.last()
    for _ in range(2):
        take_back(one, step, key="t")
    assert figures(one) == {"lost": 3, "out": 0, "in_kiln": 0, "at_hand": 9}
    assert one.steps.count() == 5
    with pytest.raises(KeyReused, match="Nothing was changed|nothing was changed"):
        lose(one, 1, key="m")
    with pytest.raises(KeyReused):
        moved(batch(), Stage.DRY, key="m")


def test_the_database_itself_refuses_what_must_never_be() -> None:
    """More pieces than were begun, an end with pieces left, a way back, a changed history."""
    StudioFactory()
    one = moved(batch(12), Stage.DRY)
    rows = Batch.objects.filter(pk=one.pk)
    for wrong in (
        {"begun": 0},
        {"lost": 13},
        {"in_kiln": 13},
        {"lost": 12},
        {"ended_at": NOW, "ended_by": owner()},
        {"stage": 9},
        {"called_off": "Too thin"},
        {"since": MONDAY - datetime.timedelta(days=1)},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(**wrong)
    step = {"batch": one, "made_by": owner(), "made_at": NOW, "on": TODAY}
    for number, wrong in enumerate(
        (
            {"what": "moved", "was": 3, "stage": 3},
            {"what": "moved", "was": 3, "stage": 2},
            {"what": "lost", "was": 3, "stage": 3},
            {"what": "unloaded", "was": 3, "stage": 4},
            {"what": "taken_back", "was": 3, "stage": 1},
            {"what": "moved", "was": 3, "stage": 4, "cause": "cracked"},
            {"what": "lost", "was": 3, "stage": 3, "lost": 1, "out": 1},
        )
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            BatchStep.objects.create(key=f"wrong-{number}", **step, **wrong)
    for change in (
        lambda: one.steps.update(lost=1),
        lambda: one.steps.last().delete(),  # type: ignore[union-attr]
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            change()
