"""However a list is filled in and the van loaded, pieces stay as many as they are."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from tests.factories import OwnerFactory, WareFactory, stocked
from tests.fairs.makers import LOADED_AT, a_fair, at, weekends_of
from vendor.fairs import actions
from vendor.fairs.actions import Packed
from vendor.fairs.errors import NotFree
from vendor.fairs.models import PackingLine
from vendor.ledger.audit import audit


class TestAnyPacking(TestCase):
    """However it is packed and loaded, pieces stay as many as they are."""

    @settings(deadline=None, max_examples=40)
    @given(
        st.lists(st.tuples(st.integers(0, 6), st.sampled_from(["", "A", "é"])), max_size=8),
        st.booleans(),
    )
    def test_the_van_never_holds_more_than_was_free(
        self, steps: list[tuple[int, str]], load: bool
    ) -> None:
        """A step past the free ten is refused and leaves the list as it was."""
        owner = OwnerFactory()
        weekend = weekends_of(a_fair(owner), owner)[0]
        ware = WareFactory()
        stocked(ware, 10, who=owner)
        made = actions.start_list(key="l", weekend=weekend, who=owner, now=LOADED_AT)
        plain: dict[str, int] = {}
        for quantity, tote in steps:
            after = {**plain, tote: quantity}
            act = [Packed(ware.pk, quantity, tote=tote)]
            if sum(after.values()) > 10:
                with pytest.raises(NotFree):
                    actions.pack(packing_list=made, lines=act, who=owner, now=LOADED_AT)
            else:
                actions.pack(packing_list=made, lines=act, who=owner, now=LOADED_AT)
                plain = after
        assert dict(made.lines.values_list("tote", "quantity")) == {
            tote: n for tote, n in plain.items() if n
        }
        if load and PackingLine.objects.exists():
            actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
            assert at(weekend.fair.stall, ware) == sum(plain.values())
        assert audit() == []
