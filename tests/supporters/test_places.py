"""Promises in the making: in a batch, in a firing's line, and what becomes of them there."""

import datetime
import importlib
from typing import Any

import pytest
from django.apps import apps

from tests.factories import NOW, FinishFactory, FormFactory, WareFactory
from tests.firings.boards import batch, loaded, moved
from tests.firings.kiln import count, facts, unloaded
from tests.supporters.in_the_making import make, place, stands
from tests.supporters.makers import TODAY, kept, promised
from vendor.firings import actions as firings
from vendor.firings import batching
from vendor.firings.actions import Load
from vendor.firings.models import Batch, Firing, FiringLine, Stage
from vendor.house.dates import said_as_by
from vendor.house.models import Studio, User
from vendor.supporters import places
from vendor.supporters.errors import NotThisPlace
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State
# The owner of `tests.firings` is the first there is, which is this part's too.
TOMORROW = TODAY + datetime.timedelta(days=1)


@pytest.fixture
def celadon(owner: User) -> Ware:
    """A tumbler in celadon."""
    return WareFactory(form__name="Tumbler", finish__name="celadon")


@pytest.fixture
def promise(ines: Supporter, celadon: Ware, owner: User) -> Commitment:
    """A promised tumbler in celadon."""
    return promised(ines, celadon, owner)


def test_a_promise_follows_its_batch_into_the_kiln_and_out(
    promise: Commitment, celadon: Ware, owner: User
) -> None:
    """From the board to the glaze firing in its own finish, until its piece is held."""
    one = moved(batch(6, celadon.form), Stage.DRY)
    make(promise, owner, batch=one)
    assert place(promise).words == "Batch 1, 6 × tumbler, dry since today"
    first = loaded((celadon.form, 6, one), kind="bisque", cone="06", fired_on=TOMORROW)
    assert place(promise).words == "Firing 1: 6 × Tumbler, on Thursday"
    firings.change_firing(
        firing=first, facts=facts(kind="bisque", cone="06"),
        loads=[Load(celadon.form_id, 6, one.pk)], who=owner, now=NOW,
    )  # fmt: skip
    unloaded(first)
    assert place(promise).words == "Batch 1, 6 × tumbler, bisque since today"
    shino = WareFactory(form=celadon.form, finish__name="shino")
    second = loaded((shino, 2, one), (celadon, 4, one))
    assert place(promise).words == "Firing 2: 4 × Tumbler, celadon, on Nov 30"
    unloaded(second, count(second, 2), count(second, 3, 0, 1, crawled=1))
    told = place(promise)
    assert (told.words, told.is_out) == (
        "Firing 2 is unloaded: 3 firsts, 0 seconds of Tumbler, celadon", True,
    )  # fmt: skip
    assert kept(promise, owner).state == State.HELD


def test_a_batch_that_was_glazed_otherwise_is_told(
    promise: Commitment, celadon: Ware, owner: User
) -> None:
    """All of it is in shino; and when it is out, nothing of it fits."""
    one = batch(2, celadon.form, stage=Stage.GLAZED)
    make(promise, owner, batch=one)
    firing = loaded((WareFactory(form=celadon.form), 2, one))
    assert place(promise).warning == "All of Batch 1 is in kilns in other finishes."
    unloaded(firing)
    assert place(promise).warning == "Nothing of Batch 1 came out that fits it."
    assert stands(promise)[0] == State.MAKING


def test_only_a_place_that_fits_is_taken(promise: Commitment, celadon: Ware, owner: User) -> None:
    """Another form, another ware, a batch that is over, a firing that is unloaded: refused."""
    shino = WareFactory(form=celadon.form)
    bowl = WareFactory()
    over = batching.call_off_batch(
        key="o", batch=batch(3, celadon.form), reason="Too thin", who=owner, now=NOW
    )
    firing, done = loaded((shino, 1, None), (bowl, 1, None)), loaded((celadon, 1, None))
    unloaded(done)
    for where in (
        {"batch": batch(3)},
        {"batch": over},
        {"line": firing.lines.get(ware=shino)},
        {"line": firing.lines.get(ware=bowl)},
        {"line": done.lines.get()},
    ):
        with pytest.raises(NotThisPlace, match="Nothing was changed"):
            make(promise, owner, **where)
    assert stands(promise) == (State.OWED, None, None)


def test_what_is_known_of_a_piece_decides_which_lines_fit(ines: Supporter, owner: User) -> None:
    """With a form alone any finish, with a finish that one, in bisque the form."""
    form, glaze = FormFactory(), FinishFactory()
    ware = WareFactory(form=form, finish=glaze)
    line = loaded((ware, 1, None)).lines.get()
    other = loaded((WareFactory(form=form), 1, None)).lines.get()
    bisque = loaded((form, 1, None), kind="bisque", cone="06").lines.get()
    for known, fitting in (
        ({"form": form}, [line, other, bisque]),
        ({"form": form, "finish": glaze}, [line, bisque]),
        ({"ware": ware}, [line, bisque]),
        ({"ware": WareFactory()}, []),
        ({}, []),
    ):
        piece = Commitment(supporter=ines, **known)
        assert [each for each in (line, other, bisque) if piece.fits_line(each)] == fitting
        offers = [each.value for each in places.offered(piece, today=TODAY)]
        assert offers == [f"line:{each.pk}" for each in fitting]


def test_more_promises_than_pieces_are_told(
    ines: Supporter, promise: Commitment, celadon: Ware, owner: User
) -> None:
    """Of a batch and of a line; it is no refusal, for another batch may follow."""
    one = batch(2, celadon.form, stage=Stage.GLAZED)
    more = [promise, *(promised(ines, celadon, owner) for _ in range(2))]
    for each in more[:2]:
        make(each, owner, batch=one)
    assert place(promise).warning == ""
    assert [each.words for each in places.offered(more[2], today=TODAY)] == [
        "Batch 1: 2 left, glazed since Nov 23 (2 promised)"
    ]
    make(more[2], owner, batch=one)
    assert place(promise).warning == "3 promises count on the 2 left of Batch 1."
    firing = loaded((celadon, 1, one))
    for each in more[:2]:
        make(each, owner, line=firing.lines.get())
    assert place(promise).warning == "2 promises count on the 1 in Firing 1."


def test_firings_that_were_named_as_a_whole_become_lines(
    ines: Supporter, promise: Commitment, celadon: Ware, owner: User
) -> None:
    """Where the firing carries the ware; else the firing is kept, and so it is the other way."""
    other = promised(ines, WareFactory(), owner)
    firing = loaded((celadon, 1, None))
    Commitment.objects.update(firing=firing, state=State.MAKING)
    step = importlib.import_module("vendor.supporters.migrations.0005_firings_to_lines")
    step.to_lines(apps, None)
    promise.refresh_from_db()
    other.refresh_from_db()
    assert (promise.firing_line, promise.firing) == (firing.lines.get(), None)
    assert (other.firing_line, other.firing) == (None, firing)
    assert place(other).words == "Firing 1"
    step.to_firings(apps, None)
    promise.refresh_from_db()
    assert (promise.firing_line, promise.firing) == (None, firing)


def test_places_are_read_in_a_fixed_number_of_statements(
    ines: Supporter, celadon: Ware, owner: User, django_assert_num_queries: Any
) -> None:
    """However many promises there are."""
    for _ in range(2):
        one = batch(4, celadon.form, stage=Stage.GLAZED)
        loaded((celadon, 1, one))
        make(promised(ines, celadon, owner), owner, batch=one)
        promises = list(Commitment.objects.named())
        with django_assert_num_queries(2), said_as_by(Studio()):
            places.tell(promises, today=TODAY)
        with django_assert_num_queries(4), said_as_by(Studio()):
            assert places.offered(promises[0], today=TODAY)
        with django_assert_num_queries(1), said_as_by(Studio()):
            assert places.from_batch(one)[0]
    assert Batch.objects.count() == Firing.objects.count() == FiringLine.objects.count() == 2
