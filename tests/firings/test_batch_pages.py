"""The pages of batches: every form sent twice, every slip told, and a kiln loaded from them."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import FormFactory, WareFactory
from tests.firings.boards import batch, figures, loaded, moved
from tests.firings.kiln import TODAY, helper, owner, unloaded
from vendor.firings.models import Batch, Firing, Stage
from vendor.house.models import new_key

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner(), backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand at noon of the second of December."""
    noon = datetime.datetime(2026, 12, 2, 17, 0, tzinfo=datetime.UTC)
    monkeypatch.setattr("vendor.house.clock.now", lambda: noon)


def at(name: str, *args: Any) -> str:
    """Return the address of a page of this part."""
    return reverse(f"firings:{name}", args=args)


def twice(pages: Client, address: str, **form: Any) -> None:
    """Send a form twice; both times it leads on."""
    sent = {"key": new_key(), **form}
    for _ in range(2):
        answer = pages.post(address, sent)
        assert answer.status_code == 302, answer.content.decode()


def text(pages: Client, address: str) -> str:
    """Return a page."""
    answer = pages.get(address)
    assert answer.status_code == 200
    return str(answer.content.decode())


def test_a_batch_is_begun_moved_on_and_called_off(pages: Client) -> None:
    """Every form of the way sent twice does it once."""
    form = FormFactory(name="Tumbler")
    twice(pages, at("new_batch"), form=form.pk, pieces="12", thrown_on="2026-11-30", stage="1")
    one = Batch.objects.get()
    here = at("batch", one.pk)
    assert "It is trimmed now" in text(pages, here)
    twice(pages, at("move_on", one.pk), to="2")
    twice(pages, at("move_on", one.pk), to="3", on="2026-12-02", lost="1", cause="cracked")
    assert "Load into a bisque firing" in text(pages, here)
    twice(pages, at("lose", one.pk), lost="2", cause="dropped", note="the cat")
    assert "2 lost, dropped or knocked, the cat" in text(pages, here)
    twice(pages, at("call_off_batch", one.pk), reason="Too thin")
    assert "Too thin" in text(pages, here)
    step = one.steps.last()
    assert step is not None
    twice(pages, at("take_back", one.pk), step=step.pk)
    assert figures(one) == {"lost": 3, "out": 0, "in_kiln": 0, "at_hand": 9}
    assert one.steps.count() == 6


def test_a_batch_that_has_come_further_says_since_when(pages: Client) -> None:
    """Without a day it is asked for, and what was typed is kept."""
    form = FormFactory()
    sent = {"form": form.pk, "pieces": "7", "thrown_on": "2026-11-20", "stage": "4"}
    key = new_key()
    answer = pages.post(at("new_batch"), {"key": key, **sent}).content.decode()
    assert "Say on which day it got that far" in answer
    assert 'value="7"' in answer
    early = pages.post(at("new_batch"), {"key": key, **sent, "since": "2026-11-19"})
    assert "before it was thrown" in early.content.decode()
    assert not Batch.objects.exists()
    twice(pages, at("new_batch"), **sent, since="2026-12-01")
    assert Batch.objects.get().stage == Stage.BISQUE


@pytest.mark.parametrize(
    ("change", "status", "told"),
    [
        ({"pieces": ""}, 200, "Say how many pieces were thrown"),
        ({"pieces": "0"}, 200, "Say how many pieces were thrown"),
        ({"pieces": "5001"}, 200, "slip of the keys"),
        ({"pieces": "-1"}, 200, "below zero"),
        ({"pieces": "a dozen"}, 200, "whole number of pieces"),
        ({"thrown_on": "2026-12-24"}, 409, "still to come"),
        ({"form": "999"}, 200, "not one of the choices"),
    ],
)
def test_a_slip_at_the_beginning_is_told(
    pages: Client, change: dict[str, str], status: int, told: str
) -> None:
    """Nothing is begun."""
    sent = {
        "key": new_key(), "form": str(FormFactory().pk), "pieces": "12",
        "thrown_on": "2026-11-30", "stage": "1",
    }  # fmt: skip
    answer = pages.post(at("new_batch"), {**sent, **change})
    assert (answer.status_code, told in answer.content.decode()) == (status, True)
    assert not Batch.objects.exists()


def test_what_a_batch_refuses_is_told_on_its_page(pages: Client) -> None:
    """The form is open again with what was typed."""
    one = moved(batch(6), Stage.TRIMMED)
    for name, sent, told in (
        ("move_on", {"to": "2"}, "only moves on to a later stage"),
        ("move_on", {"to": "3", "lost": "7", "cause": "cracked"}, "at hand"),
        ("move_on", {"to": "3", "on": "2026-12-24"}, "still to come"),
        ("lose", {"lost": "1"}, "say why they were lost"),
        ("lose", {"lost": "", "cause": ""}, "one at least"),
        ("take_back", {"step": "999"}, "not one of the choices"),
    ):
        answer = pages.post(at(name, one.pk), {"key": new_key(), **sent})
        assert told in answer.content.decode(), answer.content.decode()
        assert answer.status_code in {200, 409}
    assert "This is still empty" in pages.post(
        at("call_off_batch", one.pk), {"key": new_key(), "reason": ""}
    ).content.decode()  # fmt: skip
    assert figures(one)["lost"] == 0


def test_the_list_narrows_adds_up_and_is_taken_away(pages: Client) -> None:
    """By stage and form, with totals; what is over stands on a list of its own."""
    assert "Begin a batch when you have thrown it" in text(pages, at("batches"))
    tumbler, bowl = FormFactory(name="Tumbler"), FormFactory(name="Berry bowl")
    moved(batch(12, tumbler), Stage.DRY)
    one = batch(8, bowl, stage=Stage.GLAZED, since=TODAY)
    loaded((WareFactory(form=bowl), 3, one))
    page = text(pages, at("batches"))
    for said in ("8 thrown · 3 in Firing 1", "2 batches", "not measured yet"):
        assert said in page
    assert "Tumbler" not in text(pages, at("batches") + "?stage=Glazed").split("<table")[1]
    assert "1 batch" in text(pages, at("batches") + "?q=tumbler")
    taken = pages.get(at("batches") + "?_export=csv").content.decode()
    assert "Batch 2,Berry bowl,Glazed,2026-12-02,0,5,3,0" in taken.replace("\r", "")
    assert "No batch is over yet" in text(pages, at("batches_over"))
    unloaded(loaded((WareFactory(form=bowl), 5, one)))
    unloaded(Firing.objects.get(number=1))
    assert "Unloaded" in text(pages, at("batches_over"))
    assert "Batch 2" not in text(pages, at("batches"))


def test_a_kiln_is_loaded_from_batches(pages: Client) -> None:
    """Bisque takes what the address names; glaze takes a part in each finish; both can change."""
    form = FormFactory(name="Tumbler")
    one, two = WareFactory(form=form), WareFactory(form=form)
    raw, done = batch(12, form, stage=Stage.DRY, since=TODAY), batch(9, form, stage=5, since=TODAY)
    page = text(pages, at("record", "bisque") + f"?batch={raw.pk}")
    assert f'name="batch-{raw.pk}-{form.pk}" value="12"' in page
    facts = {"new_kiln": "Front loader", "cone": "6", "fired_on": "2026-12-01"}
    loads = {f"batch-{done.pk}-{one.pk}": "5", f"batch-{done.pk}-{two.pk}": "4"}
    twice(pages, at("record", "glaze"), kind="glaze", **facts, **loads, **{f"load-{one.pk}": "2"})
    firing = Firing.objects.get()
    assert sorted(line.loaded for line in firing.lines.all()) == [2, 4, 5]
    page = text(pages, at("change", firing.pk))
    assert f'name="batch-{done.pk}-{one.pk}" value="5"' in page
    for _ in range(2):
        pages.post(
            at("change", firing.pk),
            {"key": "x", "kind": "glaze", **facts, f"batch-{done.pk}-{one.pk}": "6"},
        )
    assert figures(done)["in_kiln"] == 6
    answer = pages.post(
        at("change", firing.pk),
        {"key": "x", "kind": "glaze", **facts, f"batch-{done.pk}-{one.pk}": "10"},
    )
    assert "has 9 pieces for this firing, and 10 were entered" in answer.content.decode()
    assert f"Firsts: {one.name} (Batch 2)" in text(pages, at("unload", firing.pk))


def test_batches_are_the_owners(client: Client) -> None:
    """A helper is turned away, as from all of Fire."""
    one = batch()
    client.force_login(helper(), backend="django.contrib.auth.backends.ModelBackend")
    for name, args in (("batches", ()), ("new_batch", ()), ("batch", (one.pk,))):
        assert client.get(at(name, *args)).status_code == 403
