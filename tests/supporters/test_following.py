"""What becomes of promises whose batch or firing brings nothing, or not what was chosen."""

import pytest

from tests.factories import NOW, WareFactory
from tests.firings.boards import batch, loaded
from tests.firings.kiln import count, facts, unloaded
from tests.supporters.in_the_making import last_note, make, stands
from tests.supporters.makers import promised
from vendor.firings import actions as firings
from vendor.firings import batching
from vendor.firings.actions import Load
from vendor.firings.batching import Lost
from vendor.firings.models import Stage
from vendor.house.models import User
from vendor.supporters import choosing
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


@pytest.fixture
def celadon(owner: User) -> Ware:
    """A tumbler in celadon."""
    return WareFactory(form__name="Tumbler", finish__name="celadon")


@pytest.fixture
def promise(ines: Supporter, celadon: Ware, owner: User) -> Commitment:
    """A promised tumbler in celadon."""
    return promised(ines, celadon, owner)


@pytest.mark.parametrize("how", ["called off", "lost on the board", "lost in the kiln"])
def test_what_will_not_come_is_owed_again(
    promise: Commitment, celadon: Ware, owner: User, how: str
) -> None:
    """With a step that says why; what came back by an undoing is put there anew."""
    one = batch(3, celadon.form, stage=Stage.GLAZED)
    make(promise, owner, batch=one)
    if how == "called off":
        batching.call_off_batch(key="c", batch=one, reason="Too thin", who=owner, now=NOW)
    elif how == "lost on the board":
        lost = Lost(3, "dropped")
        for _ in range(2):
            batching.lose_pieces(key="l", batch=one, lost=lost, who=owner, now=NOW)
    else:
        firing = loaded((celadon, 3, one))
        for _ in range(2):
            unloaded(firing, count(firing, 0, stuck=3))
    assert stands(promise) == (State.OWED, None, None)
    why = "Batch 1 was called off" if how == "called off" else "All of Batch 1 was lost"
    assert last_note(promise) == ("reopened", why)
    assert promise.steps.filter(what="reopened").count() == 1


def test_a_line_that_is_taken_out_leaves_the_batch_another_line_or_nothing(
    promise: Commitment, celadon: Ware, owner: User
) -> None:
    """The nearest place that is left, and the step says so."""
    one = batch(6, celadon.form, stage=Stage.GLAZED)
    firing = loaded((celadon, 2, one), (celadon, 2, None), (WareFactory(), 1, None))
    bare = firing.lines.get(ware=celadon, batch=None)
    make(promise, owner, line=firing.lines.get(batch=one))
    assert stands(promise)[1] == one.pk

    def change(*loads: Load) -> None:
        firings.change_firing(firing=firing, facts=facts(), loads=loads, who=owner, now=NOW)

    other = Load(firing.lines.last().thing_id, 1)  # type: ignore[union-attr]
    change(other, Load(celadon.pk, 2))
    assert stands(promise) == (State.MAKING, None, bare.pk)
    change(other)
    assert stands(promise) == (State.OWED, None, None)
    assert last_note(promise) == ("reopened", "Taken out of Firing 1")
    change(other, Load(celadon.pk, 2, one.pk))
    make(promise, owner, line=firing.lines.get(batch=one))
    firings.call_off_firing(firing=firing, who=owner, now=NOW)
    assert stands(promise) == (State.MAKING, one.pk, None)
    assert "Firing 1 was called off; now Batch 1" in last_note(promise)[1]


def test_a_line_of_which_nothing_came_is_told(
    promise: Commitment, celadon: Ware, owner: User
) -> None:
    """Without a batch the promise is owed again; what is over keeps no line."""
    firing = loaded((celadon, 2, None))
    make(promise, owner, line=firing.lines.get())
    unloaded(firing, count(firing, 0, bloated=2))
    assert stands(promise) == (State.OWED, None, None)
    assert last_note(promise)[1] == "All lost in Firing 1"


def test_other_choices_leave_the_batch(promise: Commitment, celadon: Ware, owner: User) -> None:
    """A promise whose piece became another form is owed again, and says so."""
    one = batch(2, celadon.form)
    make(promise, owner, batch=one)
    Commitment.objects.filter(pk=promise.pk).update(ware=WareFactory())
    choosing.write_choices(key="w", commitment=promise, answers={}, who=owner, now=NOW)
    assert stands(promise) == (State.OWED, None, None)
    assert last_note(promise) == ("chosen", "Not in Batch 1 any more")
