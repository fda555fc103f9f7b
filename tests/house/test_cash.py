"""Cash: published rounding tables, change, likely tenders, the till's denominations."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.cash import TooLittleTendered, change_due, likely_tenders, round_cash
from vendor.house.coins import denominations
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


@pytest.mark.parametrize(
    ("due", "likely"),
    [
        (3_400, (3_400, 4_000, 5_000, 10_000)),
        (2_300, (2_300, 2_500, 3_000, 4_000)),
        (11_800, (11_800, 12_000, 15_000, 20_000)),
        (10_000, (10_000,)),
        (0, ()),
        (-5, ()),
    ],
)
def test_likely_tenders_are_what_people_have_in_their_purses(
    due: int, likely: tuple[int, ...]
) -> None:
    """The next sum of few notes (common practice); nothing where nothing is due."""
    assert likely_tenders(due, USD) == likely


def test_a_currency_without_a_list_gets_the_usual_series() -> None:
    """1, 2, 5, 10, 20, 50, … to the size of the sale."""
    dinar, dong = Currency.of("KWD"), Currency.of("VND")
    assert likely_tenders(34_000, dinar) == (34_000, 40_000, 50_000, 100_000)
    assert likely_tenders(3_400_000, dong) == (3_400_000, 4_000_000, 5_000_000, 10_000_000)


@given(st.integers(1, 10**9), st.sampled_from(list(currencies().values())), st.integers(1, 9))
def test_likely_tenders_ascend_from_the_exact_sum(due: int, currency: Currency, limit: int) -> None:
    """Whatever the currency, enough is offered and no more than asked for."""
    likely = likely_tenders(due, currency, limit=limit)
    assert likely[0] == due
    assert list(likely) == sorted(set(likely))
    assert len(likely) <= limit


def test_a_till_is_counted_from_the_largest_note_down() -> None:
    """Notes and coins in one list of minor units (from memory)."""
    assert denominations(USD) == (10_000, 5_000, 2_000, 1_000, 500, 100, 25, 10, 5, 1)
    assert denominations(EUR)[-8:] == (200, 100, 50, 20, 10, 5, 2, 1)
    for currency in currencies().values():
        values = denominations(currency)
        assert list(values) == sorted(set(values), reverse=True)
        assert values[-1] >= 1
