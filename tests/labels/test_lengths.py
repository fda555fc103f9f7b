"""Lengths: exact in micrometres, said in the words of the paper."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.labels.lengths import in_inches, in_mm, inches, micrometres, mm, points


@pytest.mark.parametrize(
    ("text", "um"), [("63.5", 63_500), ("4.7625", 4_763), ("0", 0), ("-1.5", -1_500)]
)
def test_millimetres_become_whole_micrometres(text: str, um: int) -> None:
    """A tenth of a micrometre is rounded half up."""
    assert mm(text) == um


@pytest.mark.parametrize(
    ("text", "um"), [("1", 25_400), ("2 5/8", 66_675), ("8 1/2", 215_900), ("3/16", 4_763)]
)
def test_inches_become_whole_micrometres(text: str, um: int) -> None:
    """An inch is 25.4 mm exactly."""
    assert inches(text) == um


@pytest.mark.parametrize(
    ("um", "words"),
    [(66_675, "2 5/8"), (25_400, "1"), (12_700, "1/2"), (4_763, "3/16"), (63_400, None), (0, None)],
)
def test_inches_are_said_as_a_fraction_or_not_at_all(um: int, words: str | None) -> None:
    """Only a length that is a fraction of an inch is said as one."""
    assert in_inches(um) == words


def test_millimetres_are_said_with_no_more_digits_than_they_have() -> None:
    """No trailing zeros, and no lost ones."""
    assert [in_mm(um) for um in (63_500, 38_000, 100_000, 37_125, -500, 0)] == [
        "63.5",
        "38",
        "100",
        "37.125",
        "-0.5",
        "0",
    ]


@given(st.integers(-1_000_000, 1_000_000))
def test_points_and_back_lose_nothing(um: int) -> None:
    """What is drawn in points is still the same micrometre."""
    assert micrometres(points(um)) == um
    assert mm(in_mm(um)) == um
