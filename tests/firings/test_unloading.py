"""Counting a kiln out: on to the shelf, once, and back again where the count was wrong."""

import datetime

import pytest
from django.db import IntegrityError, transaction

from tests.factories import NOW, FormFactory, WareFactory, shelf, stall
from tests.firings.kiln import TODAY, count, fired, owner, unloaded
from vendor.firings import unloading
from vendor.firings.errors import (
    DoesNotAddUp,
    NotFiredYet,
    NotUnloaded,
    PageTooOld,
    UnloadedAlready,
)
from vendor.firings.models import Firing, Loss, UndoneUnloading
from vendor.house.errors import Refused
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.audit import audit
from vendor.ledger.errors import HeldPiece, NotEnough
from vendor.ledger.models import Balance, Entry
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def on_shelf(ware: Ware) -> tuple[int, int]:
    """Return the firsts and seconds of a ware on the studio shelf."""
    rows = Balance.objects.filter(place=shelf(), ware=ware)
    found = {row.grade: row.on_hand for row in rows}
    return found.get("first", 0), found.get("second", 0)


def undone(firing: Firing, reason: str = "miscounted", turn: int | None = None) -> Firing:
    """Undo a firing's unloading."""
    return unloading.undo_unloading(firing=firing, who=owner(), now=NOW, reason=reason, turn=turn)


def test_firsts_and_seconds_go_on_to_the_shelf_and_losses_do_not() -> None:
    """12 in: 9 firsts, 1 second, 2 lost, each loss with its cause."""
    ware = WareFactory()
    firing = fired((ware, 12))
    done = unloaded(firing, count(firing, 9, 1, cracked=1, glaze_ran=1))
    assert on_shelf(ware) == (9, 1)
    assert done.unloaded_at == NOW
    assert done.entry is not None
    assert done.entry.key == f"firing:{firing.pk}"
    line = firing.lines.get()
    assert (line.firsts, line.seconds, line.lost) == (9, 1, 2)
    assert {loss.cause: loss.quantity for loss in line.losses.all()} == {
        "cracked": 1,
        "glaze_ran": 1,
    }
    assert audit() == []


def test_the_count_sent_twice_reaches_the_shelf_once() -> None:
    """A tap that had no answer is tapped again."""
    ware = WareFactory()
    firing = fired((ware, 12))
    for _ in range(3):
        unloaded(firing, count(firing, 11, cracked=1, warped=0))
    assert on_shelf(ware) == (11, 0)
    assert Entry.objects.count() == 1


def test_other_numbers_for_an_unloaded_firing_are_refused() -> None:
    """What was counted first is kept."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 12)))
    with pytest.raises(UnloadedAlready, match="what was counted then is kept"):
        unloaded(firing, count(firing, 10, 2))
    assert on_shelf(ware) == (12, 0)


@pytest.mark.parametrize(
    ("firsts", "seconds", "cracked", "apart"),
    [(11, 0, 0, "1 too few"), (12, 1, 0, "1 too many"), (0, 0, 0, "12 too few"),
     (10**12, 0, 0, "too many")],
)  # fmt: skip
def test_a_line_that_does_not_add_up_is_named(
    firsts: int, seconds: int, cracked: int, apart: str
) -> None:
    """The sentence says which line, what went in, and by how much it is out."""
    ware = WareFactory(own_name="Tumbler, celadon")
    firing = fired((WareFactory(), 3), (ware, 12))
    with pytest.raises(DoesNotAddUp, match=f"Tumbler, celadon: 12 went in.*{apart}"):
        unloaded(firing, count(firing, 3), count(firing, firsts, seconds, 1, cracked=cracked))
    assert Firing.objects.get().is_open
    assert not Entry.objects.exists()
    assert not Loss.objects.exists()


def test_a_count_below_zero_is_refused() -> None:
    """Even where the sum would come out right."""
    firing = fired((WareFactory(), 12))
    for wrong in (count(firing, 13, -1), count(firing, 13, 0, cracked=-1)):
        with pytest.raises(DoesNotAddUp, match="below zero"):
            unloaded(firing, wrong)


def test_a_cause_that_nobody_knows_is_refused() -> None:
    """Causes come from one list."""
    firing = fired((WareFactory(), 12))
    with pytest.raises(DoesNotAddUp, match="no cause of a loss"):
        unloaded(firing, count(firing, 11, 0, gremlins=1))


def test_a_count_that_leaves_a_line_out_or_brings_a_strange_one_is_refused() -> None:
    """The page is older than what is in the firing now."""
    firing, other = fired((WareFactory(), 3), (WareFactory(), 4)), fired((WareFactory(), 5))
    with pytest.raises(PageTooOld):
        unloaded(firing, count(firing, 3))
    with pytest.raises(PageTooOld):
        unloaded(firing, count(firing, 3), count(firing, 4, line=1), count(other, 5))
    with pytest.raises(PageTooOld):
        unloaded(firing, count(firing, 3), count(firing, 3))


def test_a_firing_where_everything_was_lost_is_unloaded_without_an_entry() -> None:
    """Nothing comes to the shelf, and the losses are known."""
    ware = WareFactory()
    firing = fired((ware, 6))
    done = unloaded(firing, count(firing, 0, 0, bloated=6))
    assert done.is_unloaded
    assert done.entry is None
    assert unloaded(firing, count(firing, 0, 0, bloated=6)).is_unloaded
    assert not Entry.objects.exists()


def test_bisque_is_counted_out_and_is_no_stock() -> None:
    """Forms have losses and no place on the shelf."""
    firing = fired((FormFactory(), 24), kind="bisque", cone="06")
    done = unloaded(firing, count(firing, 22, 0, exploded=2))
    assert done.entry is None
    assert firing.lines.get().lost == 2
    assert undone(firing).is_open


def test_a_firing_that_is_still_to_come_is_not_unloaded() -> None:
    """Its day has to be put right first."""
    firing = fired((WareFactory(), 3), fired_on=TODAY + datetime.timedelta(days=1))
    with pytest.raises(NotFiredYet, match="2026-12-03"):
        unloaded(firing)


def test_an_unloading_is_undone_by_a_reversing_entry() -> None:
    """The shelf is as before, and what had been counted is kept with who, when and why."""
    ware = WareFactory()
    firing = fired((ware, 12))
    unloaded(firing, count(firing, 10, 1, cracked=1))
    reopened = undone(firing, "the bottom shelf was another ware")
    assert on_shelf(ware) == (0, 0)
    assert reopened.is_open
    assert reopened.entry is None
    assert not Loss.objects.exists()
    kept = UndoneUnloading.objects.get()
    assert kept.entry is not None
    assert kept.entry.reversed_by.reason == kept.reason == "the bottom shelf was another ware"
    assert kept.counts[0]["firsts"] == 10
    assert kept.counts[0]["causes"] == {"cracked": 1}
    assert audit() == []


def test_a_firing_can_be_unloaded_afresh_after_an_undoing() -> None:
    """Each count has an entry of its own."""
    ware = WareFactory()
    firing = fired((ware, 12))
    unloaded(firing)
    undone(firing)
    unloaded(firing, count(firing, 7, 5))
    undone(firing)
    unloaded(firing, count(firing, 12))
    assert on_shelf(ware) == (12, 0)
    assert Entry.objects.count() == 5
    assert audit() == []


def test_a_page_from_before_an_undoing_unloads_nothing() -> None:
    """The back button must not bring the wrong count in again."""
    ware = WareFactory()
    firing = fired((ware, 12))
    unloaded(firing, turn=0)
    undone(firing)
    with pytest.raises(PageTooOld, match="open the firing afresh"):
        unloaded(firing, turn=0)
    assert on_shelf(ware) == (0, 0)


def test_an_undoing_sent_twice_undoes_once() -> None:
    """The second one finds that it is done, even after a fresh count."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 12)))
    undone(firing, turn=0)
    undone(firing, turn=0)
    unloaded(firing, turn=1)
    assert undone(firing, turn=0).is_unloaded
    assert on_shelf(ware) == (12, 0)
    assert UndoneUnloading.objects.count() == 1


def test_what_was_not_unloaded_is_not_undone() -> None:
    """There is nothing to take back."""
    with pytest.raises(NotUnloaded):
        undone(fired((WareFactory(), 12)))


def test_undoing_needs_a_reason() -> None:
    """A word or two is enough."""
    firing = unloaded(fired((WareFactory(), 12)))
    with pytest.raises(Refused, match="why"):
        undone(firing, "  ")


def test_pieces_that_have_gone_elsewhere_are_not_taken_back() -> None:
    """Undoing is possible as long as the pieces are there."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 12)))
    line = ledger.Line(ware.pk, 1)
    ledger.move(key="m", lines=[line], source=shelf(), target=stall(), who=owner(), now=NOW)
    with pytest.raises(NotEnough):
        undone(firing)
    firing.refresh_from_db()
    assert firing.is_unloaded
    assert not UndoneUnloading.objects.exists()


def test_held_pieces_are_not_taken_back() -> None:
    """A promise stands until it is released."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 2)))
    holds.hold(
        key="h", ware_id=ware.pk, at=shelf(), purpose="order", label="Order 1", who=owner(), now=NOW
    )
    with pytest.raises(HeldPiece, match="Order 1"):
        undone(firing)


def test_the_database_keeps_what_was_undone() -> None:
    """The record of an undoing is append-only."""
    undone(unloaded(fired((WareFactory(), 2))))
    for act in (
        UndoneUnloading.objects.all().delete,
        lambda: UndoneUnloading.objects.update(reason="x"),
    ):
        with pytest.raises(IntegrityError, match="never changed or deleted"), transaction.atomic():
            act()
