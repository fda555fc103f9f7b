"""Closed is closed: every door, the statement itself, and how a mistake in it is put right."""

from collections.abc import Callable

import pytest
from django.db import IntegrityError, transaction

from tests.closing.makers import (
    MONDAY,
    NEXT_SUNDAY,
    SATURDAY_NOON,
    Stall,
)
from tests.factories import PriceFactory, shelf, stocked
from vendor.closing import actions, pages, statement_sheet
from vendor.closing.amendments import entered_in
from vendor.closing.models import Closing, ClosingLine
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Counted, Line
from vendor.ledger.errors import DayClosed, KeyReused
from vendor.ledger.models import Entry
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler(stall: Stall) -> Ware:
    """Ten packed, three sold: seven are expected, at 34.00 each."""
    ware = PriceFactory(tier=stall.first.fair.tier).ware
    stall.packs(ware, 10)
    stall.sells(ware, 3, amount=109_40)
    return ware


DOORS: dict[str, Callable[[Stall, Ware], object]] = {
    "sale": lambda stall, ware: stall.sells(ware, 1),
    "loss": lambda stall, ware: stall.loses(ware, 1, "broken"),
    "packing": lambda stall, ware: ledger.move(
        key="late", lines=[Line(ware.pk, 1)], source=shelf(), target=stall.place, who=stall.owner,
        now=MONDAY, happened_at=SATURDAY_NOON,
    ),
    "count": lambda stall, ware: ledger.correct(
        key="late", counts=[Counted(ware.pk, 1)], at=stall.place, who=stall.owner, now=MONDAY,
        happened_at=SATURDAY_NOON, reason="late",
    ),
    "return": lambda stall, ware: stall.refunds(stall.first.sales.first(), 1, ware),  # type: ignore[arg-type]
    "find": lambda stall, ware: ledger.find(
        key="late", lines=[Line(ware.pk, 1)], at=stall.place, who=stall.owner, now=MONDAY,
        happened_at=SATURDAY_NOON, reason="late",
    ),
    "undoing": lambda stall, ware: ledger.reverse(
        key="late", entry=Entry.objects.filter(kind="sale").earliest("id"), who=stall.owner,
        now=MONDAY, happened_at=SATURDAY_NOON, reason="late",
    ),
}  # fmt: skip


@pytest.mark.parametrize("door", DOORS)
def test_after_the_closing_every_door_is_shut(stall: Stall, tumbler: Ware, door: str) -> None:
    """Nothing dated in the weekend comes to its stall or goes from it any more."""
    stocked(tumbler, 5, who=stall.owner)
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    stall.closes()
    movements = Entry.objects.count()
    with pytest.raises(DayClosed):
        DOORS[door](stall, tumbler)
    assert Entry.objects.count() == movements


def test_a_statement_is_never_changed(stall: Stall, tumbler: Ware) -> None:
    """The database itself refuses, for its head and its lines."""
    stall.counts(tumbler, 7)
    stall.counts_cash(109_40)
    closing = stall.closes()
    for act in (
        lambda: Closing.objects.update(cash_counted=1),
        lambda: ClosingLine.objects.update(counted=1),
        closing.lines.get().delete,
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            act()


def test_an_amendment_is_a_new_entry_in_an_open_weekend(stall: Stall, tumbler: Ware) -> None:
    """The missing piece turns up on Tuesday: entered under its day, linked to the statement."""
    stall.counts(tumbler, 6)
    stall.explains(tumbler, "gone")
    stall.counts_cash(109_40)
    closing = stall.closes()
    act = {
        "closing": closing, "reason": "it was under the table", "who": stall.owner, "now": MONDAY,
        "counts": [Counted(tumbler.pk, 7)], "cash": -5_00,
    }  # fmt: skip
    amendment = actions.amend_closing(key="a", **act)  # type: ignore[arg-type]
    assert actions.amend_closing(key="a", **act) == amendment  # type: ignore[arg-type]
    for other in (
        {"cash": 0},
        {"reason": "lost"},
        {"counts": []},
        {"counts": [Counted(tumbler.pk, 8)]},
    ):
        with pytest.raises(KeyReused):
            actions.amend_closing(key="a", **{**act, **other})  # type: ignore[arg-type]
    assert amendment.entry is not None
    assert (amendment.entry.day, amendment.entry.reason) == (
        MONDAY.date(), "Closing 1: it was under the table",
    )  # fmt: skip
    closing.refresh_from_db()
    assert closing.lines.get().counted == 6
    line = stall.line(tumbler, weekend=stall.second)
    assert line is not None
    assert (line.pots.opening, line.pots.corrected) == (6, 1)
    stall.counts(tumbler, 7, weekend=stall.second)
    stall.counts_cash(0, weekend=stall.second)
    second = stall.closes(weekend=stall.second, now=NEXT_SUNDAY)
    studio = the_studio()
    said = entered_in(second.weekend, studio, after=second.after)
    assert [each.made for each in said] == [amendment]
    assert entered_in(closing.weekend, studio, after=closing.after) == []
    told = " ".join(statement_sheet.as_sheet(pages.statement(second), the_studio()).close)
    assert "corrects statement 1: it was under the table" in told
    with pytest.raises(Refused, match="say why"):
        actions.amend_closing(key=new_key(), **{**act, "reason": " "})  # type: ignore[arg-type]
