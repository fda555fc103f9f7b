"""Splitting an amount: nothing is lost, nothing is made."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from vendor.house.split import split

weights_of_lines = st.lists(st.integers(0, 10**7), min_size=1, max_size=40)


@pytest.mark.parametrize(
    ("amount", "weights", "parts"),
    [
        (100, [1, 1, 1], (34, 33, 33)),
        (200, [1, 1, 1], (67, 67, 66)),
        (10, [3, 3, 3], (4, 3, 3)),
        (7, [50, 30, 20], (4, 2, 1)),
        (1, [1, 2], (0, 1)),
        (5, [0, 7, 0], (0, 5, 0)),
        (0, [1, 2], (0, 0)),
        (0, [0, 0], (0, 0)),
        (0, [], ()),
        (-100, [1, 1, 1], (-34, -33, -33)),
    ],
)
def test_parts_worked_by_hand(amount: int, weights: list[int], parts: tuple[int, ...]) -> None:
    """Largest remainder first, the earlier part before the later (7 × .5, .3, .2: 3.5 2.1 1.4)."""
    assert split(amount, weights) == parts


@given(st.integers(-(10**9), 10**9), weights_of_lines)
def test_parts_sum_to_the_amount_and_stay_near_their_share(amount: int, weights: list[int]) -> None:
    """Exactly the sum; less than one unit off the exact share; nothing on no weight; mirrored."""
    assume(sum(weights))
    parts = split(amount, weights)
    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part * sum(weights) - amount * weight) < sum(weights)
        assert weight or part == 0
    assert split(-amount, weights) == tuple(-part for part in parts)


@given(weights_of_lines, st.data())
def test_no_part_outgrows_its_weight(weights: list[int], data: st.DataObject) -> None:
    """So a discount that fits the sale fits each line."""
    amount = data.draw(st.integers(0, sum(weights)))
    assert all(
        0 <= part <= weight for part, weight in zip(split(amount, weights), weights, strict=True)
    )


@pytest.mark.parametrize(("amount", "weights"), [(1, [0, 0]), (-1, []), (5, [2, -1])])
def test_an_amount_needs_something_to_lie_on(amount: int, weights: list[int]) -> None:
    """Nothing to split over, and weights below zero, are faults."""
    with pytest.raises(ValueError, match="can't be"):
        split(amount, weights)
