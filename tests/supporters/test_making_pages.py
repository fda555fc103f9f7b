"""The pages on which promises are taken into the making; each form sent twice."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, WareFactory
from tests.firings.boards import batch, loaded
from tests.firings.kiln import unloaded
from tests.supporters.in_the_making import stands
from tests.supporters.makers import keyed, promised
from vendor.firings.models import Batch, Stage
from vendor.house import clock
from vendor.house.models import User
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


@pytest.fixture(autouse=True)
def december(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is 2 December 2026."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


@pytest.fixture
def celadon(owner: User) -> Ware:
    """A tumbler in celadon, of which none stands on the shelf."""
    return WareFactory(form__name="Tumbler", finish__name="celadon")


@pytest.fixture
def promise(ines: Supporter, celadon: Ware, owner: User) -> Commitment:
    """A promised tumbler in celadon."""
    return promised(ines, celadon, owner)


@pytest.fixture
def glazed(celadon: Ware) -> Batch:
    """Four tumblers, glazed."""
    return batch(4, celadon.form, stage=Stage.GLAZED)


def url(name: str, *args: Any) -> str:
    """Return the address of a page of the part."""
    return reverse(f"supporters:{name}", args=args)


def twice(desk: Client, address: str, form: dict[str, Any]) -> str:
    """Send a form twice; both times it leads on to a page that is returned."""
    for _ in range(2):
        answer = desk.post(address, form, follow=True)
        assert answer.redirect_chain, answer.content.decode()
    return str(answer.content.decode())


def text(desk: Client, address: str) -> str:
    """Return a page."""
    answer = desk.get(address)
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_promise_is_put_in_a_batch_and_then_in_its_firing(
    desk: Client, promise: Commitment, glazed: Batch, celadon: Ware
) -> None:
    """What fits is offered; the pages say where it is until its piece can be held."""
    batch(9)
    here = url("promise", promise.number)
    offered = text(desk, here)
    assert "Batch 1: 4 left, glazed since Nov 23" in offered
    assert "Batch 2" not in offered
    form = keyed(where=f"batch:{glazed.pk}", note="Board 3")
    told = twice(desk, url("make", promise.number), form)
    assert "Batch 1, 4 × tumbler, glazed since Nov 23" in told
    assert promise.steps.filter(what="making").count() == 1
    firing = loaded((celadon, 4, glazed))
    for page in (here, url("making"), url("index"), url("from_batch", glazed.pk)):
        assert "Firing 1: 4 × Tumbler, celadon, on Nov 30" in text(desk, page)
    line = firing.lines.get()
    twice(desk, url("make", promise.number), keyed(where=f"line:{line.pk}"))
    assert stands(promise) == (State.MAKING, glazed.pk, line.pk)
    unloaded(firing)
    assert "Hold its piece" in text(desk, here)
    form = keyed(ware=celadon.pk, back=url("from_firing", firing.pk))
    twice(desk, url("keep", promise.number), form)
    assert stands(promise)[0] == State.HELD


def test_a_batch_offers_the_promises_that_it_could_keep(
    desk: Client, ines: Supporter, promise: Commitment, celadon: Ware, owner: User
) -> None:
    """With one tap each; more than it has are told."""
    small = batch(1, celadon.form)
    other = promised(ines, WareFactory(), owner)
    second = promised(ines, celadon, owner)
    here = url("from_batch", small.pk)
    assert str(other) not in text(desk, here)
    for each in (promise, second):
        form = keyed(where=f"batch:{small.pk}", back=here)
        told = twice(desk, url("make", each.number), form)
    assert "2 promises count on the 1 left of Batch 1." in told
    assert "1 will need a piece from elsewhere" in text(desk, here)


def test_what_does_not_fit_is_told(
    desk: Client, promise: Commitment, celadon: Ware, owner: User
) -> None:
    """Another form, a place that is gone, and words that are none."""
    bowls = batch(9)
    for where, told in (
        (f"batch:{bowls.pk}", "choose another batch"),
        ("batch:999", "not one of the choices any more"),
        ("line:٣", "not one of the choices any more"),
        ("shelf:1", "not one of the choices any more"),
    ):
        form = keyed(where=where, back=url("promise", promise.number))
        answer = desk.post(url("make", promise.number), form, follow=True)
        assert told in answer.content.decode()
    assert stands(promise) == (State.OWED, None, None)


def test_a_firing_that_was_named_as_a_whole_stays_until_it_is_changed(
    desk: Client, promise: Commitment, celadon: Ware
) -> None:
    """A note can be added without losing it."""
    firing = loaded((celadon, 1, None))
    Commitment.objects.filter(pk=promise.pk).update(firing=firing, state=State.MAKING)
    page = text(desk, url("promise", promise.number))
    assert f'value="firing:{firing.pk}" selected' in page
    form = keyed(where=f"firing:{firing.pk}", note="Top shelf")
    twice(desk, url("make", promise.number), form)
    promise.refresh_from_db()
    assert (promise.firing, promise.making_note) == (firing, "Top shelf")
