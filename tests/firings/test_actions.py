"""Recording what is in a kiln, changing it, calling it off."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from tests.factories import NOW, FormFactory, WareFactory
from tests.firings.kiln import TODAY, facts, fired, kiln, owner, unloaded
from vendor.firings import actions
from vendor.firings.actions import Load
from vendor.firings.errors import CalledOff, NothingLoaded, NotThisKind, UnloadedAlready
from vendor.firings.models import Firing, FiringLine, Kiln
from vendor.house.errors import Refused
from vendor.ledger.models import Entry

pytestmark = pytest.mark.django_db


def test_a_firing_is_recorded_with_what_went_in() -> None:
    """Firings are numbered in order, and nothing moves in the ledger yet."""
    first = fired((WareFactory(), 12))
    second = fired((WareFactory(), 3), (WareFactory(), 5))
    assert (first.number, second.number) == (1, 2)
    assert [line.loaded for line in second.lines.all()] == [3, 5]
    assert second.is_open
    assert not Entry.objects.exists()


def test_the_same_form_sent_twice_records_one_firing() -> None:
    """A double tap or the back button makes no second kiln load."""
    ware = WareFactory()
    assert fired((ware, 12), key="once") == fired((ware, 99), key="once")
    assert FiringLine.objects.get().loaded == 12


def test_a_bisque_firing_carries_forms() -> None:
    """What is not glazed yet has no finish."""
    firing = fired((FormFactory(name="Tumbler"), 24), kind="bisque", cone="06")
    line = firing.lines.get()
    assert (line.name, line.shape.name, line.ware) == ("Tumbler", "Tumbler", None)


@pytest.mark.parametrize("loads", [[], [Load(1, 0)], [Load(1, -3)], [Load(1, 5_001)]])
def test_an_empty_or_impossible_load_is_refused(loads: list[Load]) -> None:
    """No piece at all, zero, below zero, or more than any kiln holds."""
    who = owner()
    with pytest.raises(NothingLoaded, match="Nothing was recorded"):
        actions.record_firing(key="k", facts=facts(), loads=loads, who=who, now=NOW)
    assert not Firing.objects.exists()


def test_ware_listed_twice_is_refused() -> None:
    """One ware has one line."""
    ware = WareFactory()
    with pytest.raises(Refused, match="listed twice"):
        fired((ware, 3), (ware, 4))


def test_pieces_that_are_not_there_are_refused() -> None:
    """Whatever number a page sends, a line is of ware that exists."""
    who = owner()
    with pytest.raises(NotThisKind):
        actions.record_firing(key="k", facts=facts(), loads=[Load(999, 3)], who=who, now=NOW)


@pytest.mark.parametrize("cone", ["", "15", "5.5", "six", "٦"])
def test_only_a_cone_by_its_own_name_is_kept(cone: str) -> None:
    """Pages read what is typed; the book keeps one spelling."""
    with pytest.raises(ValidationError):
        fired((WareFactory(), 3), cone=cone)


def test_what_is_in_a_firing_can_be_changed_before_it_is_unloaded() -> None:
    """A line that stays keeps its row; others come and go."""
    stays, goes, comes = WareFactory(), WareFactory(), WareFactory()
    firing = fired((stays, 3), (goes, 4))
    row = firing.lines.get(ware=stays).pk
    actions.change_firing(
        firing=firing,
        facts=facts(cone="5½"),
        loads=[Load(stays.pk, 6), Load(comes.pk, 2)],
        who=owner(),
        now=NOW,
    )
    firing.refresh_from_db()
    assert firing.cone == "5½"
    assert {line.ware_id: line.loaded for line in firing.lines.all()} == {stays.pk: 6, comes.pk: 2}
    assert firing.lines.get(ware=stays).pk == row


def test_what_came_out_is_not_changed_afterwards() -> None:
    """An unloaded firing keeps what went in."""
    ware = WareFactory()
    firing = unloaded(fired((ware, 3)))
    with pytest.raises(UnloadedAlready, match="undo the unloading first"):
        actions.change_firing(
            firing=firing, facts=facts(), loads=[Load(ware.pk, 9)], who=owner(), now=NOW
        )
    assert firing.lines.get().loaded == 3


def test_bisque_does_not_become_glaze_by_a_change() -> None:
    """Forms don't turn into ware."""
    firing = fired((FormFactory(), 3), kind="bisque")
    with pytest.raises(NotThisKind, match="Nothing was changed"):
        actions.change_firing(
            firing=firing, facts=facts(), loads=[Load(WareFactory().pk, 9)], who=owner(), now=NOW
        )


def test_a_firing_is_called_off_and_taken_up_again() -> None:
    """It stays in the book, with who called it off and when."""
    ware = WareFactory()
    firing = fired((ware, 3))
    who = owner()
    off = actions.call_off_firing(firing=firing, who=who, now=NOW)
    assert (off.called_off_at, off.called_off_by) == (NOW, who)
    with pytest.raises(CalledOff):
        unloaded(firing)
    with pytest.raises(CalledOff):
        actions.change_firing(
            firing=firing, facts=facts(), loads=[Load(ware.pk, 9)], who=owner(), now=NOW
        )
    assert unloaded(actions.take_up_firing(firing=firing, who=owner(), now=NOW)).is_unloaded


def test_an_unloaded_firing_is_not_called_off() -> None:
    """Its pieces are on the shelf."""
    firing = unloaded(fired((WareFactory(), 3)))
    with pytest.raises(UnloadedAlready):
        actions.call_off_firing(firing=firing, who=owner(), now=NOW)


def test_witness_cones_are_read_by_shelf() -> None:
    """A second reading takes the place of the first."""
    firing = fired((WareFactory(), 3))
    actions.read_witness_cones(
        firing=firing, cones={"Top": "6", "Bottom": "5½"}, who=owner(), now=NOW
    )
    actions.read_witness_cones(firing=firing, cones={"Top": "7"}, who=owner(), now=NOW)
    assert [str(row) for row in firing.witness_cones.all()] == ["Top: cone 7"]


def test_hours_and_note_can_be_added_after_unloading() -> None:
    """What changes no stock can be written down later."""
    firing = unloaded(fired((WareFactory(), 3)))
    actions.add_facts(firing=firing, hours=36, note="  opened at 60 °C ", who=owner(), now=NOW)
    firing.refresh_from_db()
    assert (firing.hours, firing.note) == (36, "opened at 60 °C")
    with pytest.raises(ValidationError):
        actions.add_facts(firing=firing, hours=0, note="", who=owner(), now=NOW)


def test_two_kilns_do_not_share_a_name() -> None:
    """A kiln is known by its name."""
    actions.save_kiln(kiln=Kiln(name="Small round"), who=owner(), now=NOW)
    with pytest.raises(ValidationError):
        actions.save_kiln(kiln=Kiln(name=" Small round "), who=owner(), now=NOW)
    with pytest.raises(ValidationError):
        actions.save_kiln(kiln=Kiln(name="  "), who=owner(), now=NOW)


def test_the_database_itself_refuses_a_line_of_nothing_or_of_both() -> None:
    """A line is of ware or of a form, once, and loads something."""
    ware = WareFactory()
    firing = fired((ware, 3))
    for wrong in (
        {"ware": ware, "form": ware.form, "loaded": 1},
        {"loaded": 1},
        {"ware": ware, "loaded": 1},
        {"form": ware.form, "loaded": 0},
        {"form": ware.form, "loaded": 3, "firsts": 1, "seconds": 1, "lost": 0},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            FiringLine.objects.create(firing=firing, **wrong)


def test_a_kiln_with_firings_is_kept() -> None:
    """History is not deleted with its kiln."""
    fired((WareFactory(), 3), fired_on=TODAY - datetime.timedelta(days=1))
    with pytest.raises(ProtectedError):
        kiln().delete()
