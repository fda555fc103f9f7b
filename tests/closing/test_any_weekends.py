"""Whatever happens over two weekends, the statements agree with the ledger and with each other."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from tests.closing.makers import NEXT_SATURDAY, NEXT_SUNDAY, SATURDAY_NOON, Stall
from tests.factories import OwnerFactory, WareFactory, shelf, stocked
from tests.fairs.makers import a_fair, at, weekends_of
from vendor.closing.actions import Leftovers
from vendor.closing.entries import opened
from vendor.closing.models import Closing
from vendor.house.errors import Refused
from vendor.house.models import new_key
from vendor.ledger import actions as ledger
from vendor.ledger.actions import Line
from vendor.ledger.audit import audit
from vendor.ledger.models import Place
from vendor.ware.models import Ware

MOMENTS = {1: SATURDAY_NOON, 2: NEXT_SATURDAY}
acts = st.lists(
    st.tuples(
        st.sampled_from(["pack", "sell", "back", "home", "broken", "given", "traded", "own_use"]),
        st.integers(1, 4),
    ),
    max_size=8,
)
weekends = st.tuples(acts, st.integers(-2, 2), st.sampled_from(Leftovers))


class TestAnyTwoWeekends(TestCase):
    """Two weekends of one ware, with any events, any count, and leftovers anywhere."""

    @settings(deadline=None, max_examples=20)
    @given(weekends, weekends)
    def test_statements_agree_with_the_ledger(
        self,
        first: tuple[list[tuple[str, int]], int, Leftovers],
        second: tuple[list[tuple[str, int]], int, Leftovers],
    ) -> None:
        """What was counted stands there; what stood there opens the next; nothing is lost."""
        owner = OwnerFactory()
        one, two = weekends_of(a_fair(owner), owner, count=2)
        stall, ware = Stall(owner, one, two), WareFactory()
        stocked(ware, 100, who=owner)
        left = 0
        for number, (weekend, (events, off, to)) in enumerate(
            ((one, first), (two, second)), start=1
        ):
            for name, quantity in events:
                happens(stall, ware, name, quantity, number)
            closing = closed(stall, ware, number, off, leftovers=to)
            line = closing.lines.first()
            assert (line.opening if line else 0) == left
            left = line.left if line else 0
            assert at(stall.place, ware) == left
            if line:
                for figure in opened(weekend, ware.pk, line.grade).figures:
                    assert figure.total == getattr(line, figure.name), figure.name
            assert closing.weekend == weekend
        assert audit() == []


def happens(stall: Stall, ware: Ware, name: str, quantity: int, number: int) -> None:
    """Let one thing happen; what the stall has too few pieces for does not."""
    said = {
        "key": new_key(), "lines": [Line(ware.pk, quantity)], "who": stall.owner,
        "now": MOMENTS[number],
    }  # fmt: skip
    try:
        if name == "pack":
            ledger.move(source=shelf(), target=stall.place, **said)  # type: ignore[arg-type]
        elif name == "sell":
            ledger.sell(source=stall.place, **said)  # type: ignore[arg-type]
        elif name == "back":
            ledger.take_back(into=stall.place, reason="chipped", **said)  # type: ignore[arg-type]
        elif name == "home":
            ledger.move(source=stall.place, target=shelf(), **said)  # type: ignore[arg-type]
        else:
            ledger.remove(source=stall.place, to=Place.Kind(name), reason="so", **said)  # type: ignore[arg-type]
    except Refused:
        return


def closed(stall: Stall, ware: Ware, number: int, off: int, *, leftovers: Leftovers) -> Closing:
    """Count the ware, `off` from what is expected, say why, and close."""
    weekend = stall.first if number == 1 else stall.second
    line = stall.line(ware, weekend=weekend)
    if line is not None:
        counted = max(0, line.expected + off)
        stall.counts(ware, counted, weekend=weekend)
        if counted != line.expected or line.pots.found:
            stall.explains(ware, "it happens", weekend=weekend)
    stall.counts_cash(0, weekend=weekend)
    return stall.closes(weekend=weekend, now=NEXT_SUNDAY, leftovers=leftovers)


@pytest.mark.django_db
def test_a_weekend_with_every_event_told_once(stall: Stall) -> None:
    """By hand: 6 + 4 packed in, 3 sold, 1 taken back, 2 sent home, 1 broken: 5 are left."""
    ware = WareFactory()
    stocked(ware, 100, who=stall.owner)
    for name, quantity in (
        ("pack", 6), ("pack", 4), ("sell", 3), ("back", 1), ("home", 2), ("broken", 1),
    ):  # fmt: skip
        happens(stall, ware, name, quantity, 1)
    closing = closed(stall, ware, 1, 0, leftovers=Leftovers.STAY)
    line = closing.lines.get()
    assert (line.packed_in, line.sold, line.taken_back, line.returned, line.broken) == (
        10, 3, 1, 2, 1,
    )  # fmt: skip
    assert (line.expected, line.left) == (5, 5)
