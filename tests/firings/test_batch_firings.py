"""Batches in and out of kilns: what a firing takes of them, and what unloading brings."""

import pytest

from tests.factories import NOW, FormFactory, WareFactory, shelf
from tests.firings.boards import batch, figures, key, loaded, moved
from tests.firings.kiln import count, facts, owner, unloaded
from vendor.firings import actions, batching, unloading
from vendor.firings.actions import Load
from vendor.firings.batching import Lost
from vendor.firings.errors import (
    InTheKiln,
    NotForward,
    NothingToTakeBack,
    NotSoMany,
    NotThisKind,
    PageTooOld,
    UnloadedAlready,
)
from vendor.firings.models import Batch, Firing, Stage
from vendor.ledger.models import Balance
from vendor.ware.models import Form, Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler() -> Form:
    """A form of which there are two ware."""
    return FormFactory(name="Tumbler")


@pytest.fixture
def celadon(tumbler: Form) -> Ware:
    """A tumbler in celadon."""
    return WareFactory(form=tumbler, finish__name="celadon")


@pytest.fixture
def shino(tumbler: Form) -> Ware:
    """A tumbler in shino."""
    return WareFactory(form=tumbler, finish__name="shino")


def bisque(one: Batch, pieces: int) -> Firing:
    """Load pieces of a batch into a bisque firing."""
    return loaded((one.form, pieces, one), kind="bisque", cone="06")


def changed(firing: Firing, *loads: Load, kind: str = "glaze") -> Firing:
    """Change what is in a firing."""
    return actions.change_firing(
        firing=firing, facts=facts(kind=kind), loads=loads, who=owner(), now=NOW
    )


def undone(firing: Firing) -> Firing:
    """Undo an unloading."""
    return unloading.undo_unloading(firing=firing, who=owner(), now=NOW, reason="Miscounted")


def test_a_batch_goes_through_two_firings_to_the_shelf(
    tumbler: Form, celadon: Ware, shino: Ware
) -> None:
    """Bisque moves it on; in glaze it comes out in two finishes, and ends with its last piece."""
    one = moved(batch(12, tumbler), Stage.DRY)
    first = bisque(one, 12)
    assert figures(one) == {"lost": 0, "out": 0, "in_kiln": 12, "at_hand": 0}
    unloaded(first, count(first, 10, 1, cracked=1))
    assert figures(one) == {"lost": 1, "out": 0, "in_kiln": 0, "at_hand": 11}
    assert (one.stage, one.steps.last().note) == (Stage.BISQUE, "1 cracked")  # type: ignore[union-attr]
    second = loaded((celadon, 6, one), (shino, 5, one))
    assert figures(one)["in_kiln"] == 11
    unloaded(second, count(second, 5, 1), count(second, 3, 0, 1, glaze_ran=2))
    assert figures(one) == {"lost": 3, "out": 9, "in_kiln": 0, "at_hand": 0}
    assert (one.is_over, one.state) == (True, "Unloaded")
    assert Balance.objects.get(place=shelf(), ware=shino).on_hand == 3


def test_two_batches_of_one_ware_go_into_one_firing(tumbler: Form, celadon: Ware) -> None:
    """A line for each, and one more for what came from no batch; the shelf gets the sum."""
    one, two = (batch(4, tumbler, stage=Stage.BISQUE) for _ in range(2))
    firing = loaded((celadon, 4, one), (celadon, 3, two), (celadon, 2, None))
    assert [line.label for line in firing.lines.all()] == [
        f"{celadon.name} (Batch 1)", f"{celadon.name} (Batch 2)", celadon.name,
    ]  # fmt: skip
    unloaded(firing, count(firing, 4), count(firing, 2, 1, 1), count(firing, 2, 0, 2))
    assert {row.grade: row.on_hand for row in Balance.objects.filter(ware=celadon)} == {
        "first": 8,
        "second": 1,
    }
    assert (figures(one)["out"], figures(two)) == (
        4,
        {"lost": 0, "out": 3, "in_kiln": 0, "at_hand": 1},
    )


def test_a_part_that_is_bisque_fired_first_can_be_glazed_first(
    tumbler: Form, celadon: Ware
) -> None:
    """The batch is bisque once its last raw piece is out of the kiln."""
    one = moved(batch(12, tumbler), Stage.DRY)
    unloaded(bisque(one, 5))
    one.refresh_from_db()
    assert (one.stage, one.to_glaze, one.to_bisque) == (Stage.DRY, 5, 7)
    with pytest.raises(NotSoMany, match="has 5 pieces for this firing"):
        loaded((celadon, 6, one))
    unloaded(loaded((celadon, 4, one)))
    one.refresh_from_db()
    assert (one.to_glaze, one.to_bisque, one.out) == (1, 7, 4)
    with pytest.raises(NotSoMany):
        bisque(one, 8)
    unloaded(bisque(one, 7))
    one.refresh_from_db()
    assert (one.stage, one.to_glaze, one.bisqued) == (Stage.BISQUE, 8, 0)


def test_undoing_an_unloading_puts_the_batch_back(tumbler: Form, celadon: Ware) -> None:
    """Its pieces are in the kiln again, its stage and its end are taken back."""
    one = moved(batch(6, tumbler), Stage.DRY)
    first = bisque(one, 6)
    unloaded(first, count(first, 5, warped=1))
    undone(first)
    assert figures(one) == {"lost": 0, "out": 0, "in_kiln": 6, "at_hand": 0}
    assert one.stage == Stage.DRY
    unloaded(first)
    second = loaded((celadon, 6, one))
    unloaded(second, count(second, 4, bloated=2))
    assert figures(one)["out"] == 4
    undone(second)
    assert figures(one) == {"lost": 0, "out": 0, "in_kiln": 6, "at_hand": 0}
    assert (one.stage, one.is_over) == (Stage.BISQUE, False)
    unloaded(second)
    assert (figures(one)["out"], one.is_over) == (6, True)


def test_a_bisque_unloading_is_not_undone_under_a_batch_that_went_on(
    tumbler: Form, celadon: Ware
) -> None:
    """What came after has to be taken back first."""
    one = moved(batch(6, tumbler), Stage.DRY)
    first = bisque(one, 6)
    unloaded(first)
    second = loaded((celadon, 6, one))
    with pytest.raises(UnloadedAlready, match="another kiln"):
        undone(first)
    actions.call_off_firing(firing=second, who=owner(), now=NOW)
    moved(one, Stage.GLAZED)
    with pytest.raises(UnloadedAlready, match="gone on"):
        undone(first)
    first.refresh_from_db()
    assert first.is_unloaded


def test_what_is_in_a_kiln_is_neither_lost_nor_called_off_nor_moved_past_it(
    tumbler: Form,
) -> None:
    """The firing says what becomes of it."""
    one = moved(batch(6, tumbler), Stage.TRIMMED)
    firing = bisque(one, 4)
    with pytest.raises(NotSoMany, match="2 pieces at hand, and 4 are in a kiln"):
        batching.lose_pieces(key=key(), batch=one, lost=Lost(3, "cracked"), who=owner(), now=NOW)
    with pytest.raises(InTheKiln, match="take it out of the firing"):
        batching.call_off_batch(key=key(), batch=one, reason="x", who=owner(), now=NOW)
    with pytest.raises(InTheKiln, match="unload it"):
        moved(one, Stage.BISQUE)
    assert moved(one, Stage.DRY).stage == Stage.DRY
    unloaded(firing)
    one.refresh_from_db()
    assert (one.stage, one.to_glaze) == (Stage.DRY, 4)
    assert figures(one)["at_hand"] == 6


def test_an_unloading_is_undone_on_its_firing_alone(tumbler: Form) -> None:
    """Not by taking the batch's step back."""
    one = moved(batch(6, tumbler), Stage.DRY)
    unloaded(bisque(one, 6))
    step = one.steps.last()
    assert step is not None
    with pytest.raises(NothingToTakeBack, match="undo the unloading of Firing 1"):
        batching.take_back_step(key=key(), batch=one, step=step, who=owner(), now=NOW)


def test_a_stage_is_not_taken_back_under_a_glaze_firing(tumbler: Form, celadon: Ware) -> None:
    """Raw pieces would be in a glaze firing."""
    one = moved(batch(6, tumbler), Stage.BISQUE)
    loaded((celadon, 3, one))
    step = one.steps.last()
    assert step is not None
    with pytest.raises(InTheKiln, match="take it out"):
        batching.take_back_step(key=key(), batch=one, step=step, who=owner(), now=NOW)


def test_only_what_is_ready_and_of_its_form_is_loaded(tumbler: Form, celadon: Ware) -> None:
    """Raw pieces into no glaze firing, bisque into no bisque, and no bowl from tumblers."""
    raw, done = batch(6, tumbler), batch(6, tumbler, stage=Stage.BISQUE)
    with pytest.raises(NotForward, match="no bisque to glaze"):
        loaded((celadon, 1, raw))
    with pytest.raises(NotForward, match="bisque already"):
        bisque(done, 1)
    with pytest.raises(NotThisKind, match="is of Tumbler"):
        loaded((WareFactory(), 1, done))
    with pytest.raises(NotThisKind, match="is of Tumbler"):
        loaded((FormFactory(), 1, raw), kind="bisque", cone="06")
    with pytest.raises(NotSoMany, match="Nothing was recorded"):
        loaded((celadon, 7, done))
    with pytest.raises(PageTooOld):
        actions.record_firing(
            key=key(), facts=facts(), loads=[Load(celadon.pk, 1, 999)], who=owner(), now=NOW
        )
    assert not Firing.objects.exists()


def test_what_a_firing_takes_is_changed_called_off_and_taken_up(
    tumbler: Form, celadon: Ware
) -> None:
    """Its pieces come and go with it; a firing is not taken up with pieces that are elsewhere."""
    one = batch(6, tumbler, stage=Stage.GLAZED)
    firing = loaded((celadon, 6, one))
    changed(firing, Load(celadon.pk, 4, one.pk), Load(celadon.pk, 1))
    assert figures(one)["in_kiln"] == 4
    actions.call_off_firing(firing=firing, who=owner(), now=NOW)
    assert figures(one)["in_kiln"] == 0
    other = loaded((celadon, 5, one))
    with pytest.raises(NotSoMany):
        actions.take_up_firing(firing=firing, who=owner(), now=NOW)
    changed(other, Load(celadon.pk, 2, one.pk))
    actions.take_up_firing(firing=firing, who=owner(), now=NOW)
    assert figures(one)["in_kiln"] == 6


def test_an_unloading_sent_twice_changes_a_batch_once(tumbler: Form, celadon: Ware) -> None:
    """The second one answers the same."""
    one = batch(6, tumbler, stage=Stage.GLAZED)
    firing = loaded((celadon, 6, one))
    for _ in range(2):
        unloaded(firing, count(firing, 5, dropped=1))
    assert figures(one) == {"lost": 1, "out": 5, "in_kiln": 0, "at_hand": 0}
    for _ in range(2):
        unloading.undo_unloading(firing=firing, who=owner(), now=NOW, reason="Miscounted", turn=0)
    assert figures(one)["in_kiln"] == 6
