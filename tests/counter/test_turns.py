"""Sold out and back on the table are noted by themselves, from the counts, with their times."""

import datetime

from tests.counter.stalls import NOW, SATURDAY, SOLD_AT, Stall
from vendor.counter.intake import take_in
from vendor.counter.models import Sale
from vendor.counter.turns import Turn, turns
from vendor.ledger import actions as ledger

HOUR = datetime.timedelta(hours=1)


def seen(stall: Stall) -> list[tuple[str, bool, str]]:
    """Return the day's turns, short."""
    return [_short(turn) for turn in turns(stall.place, day=SATURDAY)]


def _short(turn: Turn) -> tuple[str, bool, str]:
    return turn.ware, turn.back, turn.at


def test_the_last_piece_sold_and_pieces_found_later_are_noted(stall: Stall) -> None:
    """The sale that took the last bowl gives the time; a bowl found an hour later, the other."""
    take_in(raws=[stall.document((stall.bowl, 3))], who=stall.owner, now=NOW)
    assert seen(stall) == []
    take_in(raws=[stall.document((stall.bowl, 1))], who=stall.owner, now=NOW)
    gone = ("BOWL-SHI", False, SOLD_AT.isoformat())
    assert seen(stall) == [gone]
    ledger.find(
        key="box",
        lines=[ledger.Line(stall.bowl.pk, 2)],
        at=stall.place,
        who=stall.owner,
        now=NOW + HOUR,
        reason="In another box",
    )
    assert seen(stall) == [gone, ("BOWL-SHI", True, (NOW + HOUR).isoformat())]


def test_a_piece_found_and_sold_at_once_is_no_turn(stall: Stall) -> None:
    """Five of four bowls: sold out once, and the fifth neither back nor gone again."""
    take_in(raws=[stall.document((stall.bowl, 4))], who=stall.owner, now=NOW)
    take_in(raws=[stall.document((stall.bowl, 1))], who=stall.owner, now=NOW)
    assert [back for _, back, _ in seen(stall)] == [False]
    assert Sale.objects.count() == 2
