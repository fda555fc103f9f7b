"""A ware's weekend, and what its weekends say together."""

import pytest

from vendor.restock.records import Ending, Record, Tally, tally


def test_exposure_is_the_share_of_the_hours_times_the_crowd() -> None:
    """Half the hours of a weekend half as busy again."""
    assert Record(1, 4, 6, 12, crowd_factor=1.5).exposure == pytest.approx(0.75)


def test_a_piece_sold_before_the_opening_is_no_endless_rate() -> None:
    """The only piece goes at the opening: a quarter of an hour, not none."""
    gone = Record(1, 1, 0, 12, ending=Ending.SOLD_OUT)
    assert gone.exposure == pytest.approx(0.25 / 12)


def test_ware_never_out_and_never_sold_has_no_exposure() -> None:
    """Nothing was to be seen of it."""
    assert Record(1, 0, 0, 12).exposure == 0


def test_rounding_never_makes_more_than_a_whole_weekend() -> None:
    """Hours that add up to a hair more than the open hours count as all of them."""
    assert Record(1, 3, 12.000000001, 12).exposure == 1


@pytest.mark.parametrize(
    "change",
    [
        {"sold": -1},
        {"hours": -1},
        {"hours": 13},
        {"open_hours": 0, "hours": 0},
        {"crowd_factor": 0},
        {"crowd_factor": float("inf")},
        {"hours": float("nan")},
    ],
)
def test_impossible_weekends_are_refused(change: dict[str, float]) -> None:
    """Negative sales, more hours than it was open, a crowd of nobody."""
    facts = {"weekend": 1, "sold": 1, "hours": 6, "open_hours": 12, **change}
    with pytest.raises(ValueError, match="Record"):
        Record(**facts)  # type: ignore[arg-type]


def test_weekends_add_up_in_any_order() -> None:
    """Known hours are summed; sell-outs of unknown hour are kept apart, largest first."""
    weekends = [
        Record(1, 5, 12, 12, ending=Ending.SOLD_OUT_UNKNOWN),
        Record(2, 3, 12, 12),
        Record(3, 6, 3, 12, ending=Ending.SOLD_OUT),
        Record(4, 8, 12, 12, crowd_factor=2, ending=Ending.SOLD_OUT_UNKNOWN),
    ]
    together = tally(weekends)
    assert together == Tally(9, 1.25, ((8, 2.0), (5, 1.0)))
    assert tally(reversed(weekends)) == together
    assert (together.pieces, together.watched) == (22, 4.25)


def test_an_empty_stall_sells_out_of_nothing() -> None:
    """None there and none sold: no news about demand."""
    assert tally([Record(1, 0, 12, 12, ending=Ending.SOLD_OUT_UNKNOWN)]) == Tally()
    assert tally([Record(1, 0, 0, 12, ending=Ending.SOLD_OUT)]) == Tally()
