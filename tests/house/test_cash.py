"""Cash: published rounding tables, change, the till's denominations."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.cash import TooLittleTendered, change_due, round_cash
from vendor.house.coins import denominations, notes_of
from vendor.house.money import Currency, currencies

USD, EUR = Currency.of("USD"), Currency.of("EUR")


def test_canada_rounds_cash_to_five_cents() -> None:
    """Government of Canada, 2012, table of eliminating the penny (also CRA)."""
    shifts = enumerate([0, -1, -2, 2, 1, 0, -1, -2, 2, 1])
    for (last_digit, shift), tens in itertools.product(shifts, (0, 100, 490, 77_270)):
        assert round_cash(tens + last_digit, 5) == tens + last_digit + shift


@pytest.mark.parametrize(
    ("amount", "step", "cash"),
    [
        (492, 5, 490),
        (77_272, 5, 77_270),
        (598, 5, 600),
        (597, 5, 595),
        (22_320, 50, 22_300),
        (6_540, 50, 6_550),
    ],
)
def test_published_receipts_are_rounded_as_printed(amount: int, step: int, cash: int) -> None:
    """4.92 Government of Canada; 772.72 CTV; 5.98, 5.97 Quebec's consumer office; then Sweden."""
    assert round_cash(amount, step) == cash


@given(st.integers(-(10**9), 10**9), st.integers(1, 1_000))
def test_rounded_cash_is_the_nearest_step_and_mirrors(amount: int, step: int) -> None:
    """A step of one changes nothing."""
    cash = round_cash(amount, step)
    assert cash % step == 0
    assert 2 * abs(cash - amount) <= step
    assert round_cash(-amount, step) == -cash
    assert round_cash(amount, 1) == amount


def test_change_is_what_is_over() -> None:
    """And too little is refused, with what is missing at hand."""
    assert change_due(3_400, 4_000) == 600
    with pytest.raises(TooLittleTendered, match="still open") as refused:
        change_due(3_400, 3_000)
    assert refused.value.missing == 400


def test_a_till_is_counted_from_the_largest_note_down() -> None:
    """Notes and coins in one list of minor units (from memory)."""
    assert denominations(USD) == (10_000, 5_000, 2_000, 1_000, 500, 100, 25, 10, 5, 1)
    assert denominations(EUR)[-8:] == (200, 100, 50, 20, 10, 5, 2, 1)
    for currency in currencies().values():
        values = denominations(currency)
        assert list(values) == sorted(set(values), reverse=True)
        assert values[-1] >= 1


def test_the_notes_of_a_currency_without_a_list_reach_past_what_is_due() -> None:
    """1, 2, 5, 10, 20, 50, … to the first that is twice the amount or more: 34.000 and 34,000."""
    assert notes_of(Currency.of("KWD"), 34_000)[-3:] == (20, 50, 100)
    assert notes_of(Currency.of("VND"), 34_000)[-2:] == (50_000, 100_000)
    assert notes_of(USD, 34_000) == notes_of(USD) == (1, 5, 10, 20, 50, 100)
