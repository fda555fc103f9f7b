"""Currencies of ISO 4217, exact rounding, and amounts from a spreadsheet."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.money import (
    Currency,
    UnknownCurrency,
    half_up,
    share_of,
)

USD = Currency.of("USD")


@pytest.mark.parametrize(
    ("exponent", "codes"),
    [
        (0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"),
        (2, "USD EUR GBP CAD CHF SEK MRU MGA INR AUD"),
        (3, "BHD IQD JOD KWD LYD OMR TND"),
        (4, "CLF UYW"),
    ],
)
def test_minor_units_are_those_of_iso_4217(exponent: int, codes: str) -> None:
    """ISO 4217 table of 2026-01-01 (USD 2, JPY 0, INR 2, AUD 2 also in OPC UA Part 3 §8.61)."""
    for code in codes.split():
        assert Currency.of(code).exponent == exponent


@pytest.mark.parametrize("code", ["XXX", "XAU", "XTS", "ZZZ", "", "US", "$"])
def test_what_has_no_minor_unit_is_no_currency(code: str) -> None:
    """Metals, testing codes and unknown letters are refused by name."""
    with pytest.raises(UnknownCurrency, match="Nothing was saved"):
        Currency.of(code)


@pytest.mark.parametrize(
    ("numerator", "denominator", "rounded"),
    [(5, 10, 1), (4, 10, 0), (15, 10, 2), (25, 10, 3), (-5, 10, -1), (-4, 10, 0), (7, 1, 7)],
)
def test_halves_go_away_from_zero(numerator: int, denominator: int, rounded: int) -> None:
    """Half up, and for amounts below zero the mirror of it."""
    assert half_up(numerator, denominator) == rounded


@given(st.integers(), st.integers(1))
def test_rounding_is_that_of_decimal_and_mirrors(numerator: int, denominator: int) -> None:
    """Python's ROUND_HALF_UP agrees where it is exact; minus in is minus out."""
    assert half_up(-numerator, denominator) == -half_up(numerator, denominator)
    assert abs(half_up(numerator, denominator) * denominator - numerator) * 2 <= denominator


@given(st.integers(-(10**9), 10**9), st.integers(0, 1_000_000))
def test_a_share_is_the_exact_product_rounded_once(amount: int, rate_ppm: int) -> None:
    """Against decimal's ROUND_HALF_UP, which has room for these products."""
    exact = Decimal(amount) * Decimal(rate_ppm) / Decimal(1_000_000)
    assert share_of(amount, rate_ppm) == int(exact.quantize(Decimal(1), ROUND_HALF_UP))


@pytest.mark.parametrize("denominator", [0, -1])
def test_rounding_wants_a_denominator_above_zero(denominator: int) -> None:
    """A slip in the program shows as a fault, not as a figure."""
    with pytest.raises(ValueError, match="above zero"):
        half_up(1, denominator)
