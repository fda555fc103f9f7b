"""Whatever goes through two tills over two days, however it is counted, the counts add up."""

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from tests.closing.makers import SATURDAY_NOON, SUNDAY_NOON, Stall
from tests.factories import OwnerFactory, WareFactory
from tests.fairs.makers import a_fair, weekends_of
from vendor.closing.takings import till_sheet
from vendor.closing.tills import Box
from vendor.house.models import new_key

SATURDAY = SATURDAY_NOON.date()
flows = st.lists(
    st.tuples(
        st.sampled_from(["sale", "paid_in", "paid_out"]),
        st.integers(1, 2),
        st.booleans(),
        st.integers(1, 50_00),
    ),
    max_size=8,
)
nights = st.tuples(st.booleans(), st.integers(-5_00, 5_00), st.integers(0, 20_00))


class TestAnyTills(TestCase):
    """Two tills, two days, any cash, any nights counted, anything taken out."""

    @settings(deadline=None, max_examples=25)
    @given(flows, nights, nights, st.tuples(st.integers(-9_00, 9_00), st.integers(-9_00, 9_00)))
    def test_counts_over_and_short_come_to_the_weekends(
        self,
        came: list[tuple[str, int, bool, int]],
        one: tuple[bool, int, int],
        two: tuple[bool, int, int],
        ends: tuple[int, int],
    ) -> None:
        """However it is cut into nights; and each begins with what the one before left."""
        owner = OwnerFactory()
        stall = Stall(owner, *weekends_of(a_fair(owner), owner, count=2))
        ware = WareFactory()
        stall.packs(ware, 40)
        for till in (1, 2):
            stall.cash("float", 500_00, till=till)
        for kind, till, sunday, amount in came:
            at = SUNDAY_NOON if sunday else SATURDAY_NOON
            if kind == "sale":
                stall.sells(ware, amount=amount, at=at, till=till)
            else:
                stall.cash(kind, amount, till=till, made_at=at)
        offs = [0, 0]
        for till, (is_counted, off, out) in ((1, one), (2, two)):
            if is_counted:
                (stretch,) = self.box(stall, till).stretches
                saturday = sum(
                    -amount if kind == "paid_out" else amount
                    for kind, its, sunday, amount in came
                    if its == till and not sunday
                )
                assert stretch.day is None
                stall.counts_cash(500_00 + saturday + off, till=till, day=SATURDAY)
                offs[till - 1] += off
                if out:
                    stall.takes_out(out, till=till, day=SATURDAY)
        for till, off in enumerate(ends, start=1):
            expected = self.box(stall, till).end.till.expected
            stall.counts_cash(expected + off, till=till)
            offs[till - 1] += off
        sheet = till_sheet(stall.first)
        for box, off in zip(sheet.boxes, offs, strict=True):
            assert box.over_short == sum(each.over_short or 0 for each in box.stretches) == off
        for each in sheet.stretches:
            if each.is_open:
                stall.explains_cash("any", till=each.number, day=each.day)
        stall.counts(ware, 40 - sum(kind == "sale" for kind, *_ in came))
        closing = stall.closes(key=new_key())
        assert closing.over_short == sum(offs)
        for till in (1, 2):
            rows = list(closing.cash_lines.filter(till=till))
            for before, after in pairwise(rows):
                assert after.opening == before.left

    def box(self, stall: Stall, till: int) -> Box:
        """Return a till as it stands."""
        return till_sheet(stall.first).boxes[till - 1]
