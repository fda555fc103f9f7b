"""Rates in parts per million: what people type, and what they read."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vendor.house.money import MILLION, NotARate, format_rate, parse_rate, typed_rate


@pytest.mark.parametrize(
    ("text", "rate_ppm"),
    [
        ("7.25", 72_500),
        ("7,25", 72_500),
        ("7.25%", 72_500),
        ("7,25 %", 72_500),
        ("%5", 50_000),
        ("0", 0),
        ("100", MILLION),
        ("100.0000", MILLION),
        ("0.0001", 1),
        ("8.8753", 88_753),
    ],
)
@pytest.mark.parametrize("language", ["en_US", "de_DE"])
def test_a_percentage_is_read_with_either_sign(text: str, rate_ppm: int, language: str) -> None:
    """A rate has no thousands: point and comma mean the same."""
    assert parse_rate(text, language) == rate_ppm


@pytest.mark.parametrize(
    "text", ["", "%", "-1", "100.0001", "7.25001", "1e1", "7.2.5", "seven", "7 25", "٧", "9" * 99]
)
def test_what_is_no_percentage_is_refused(text: str) -> None:
    """Below zero, above all of it, finer than a part per million, and rubbish."""
    with pytest.raises(NotARate, match=r"from 0 to 100 .* example 7\.25\."):
        parse_rate(text, "en_US")


def test_a_share_may_be_allowed_to_be_more_than_the_whole() -> None:
    """A tier may ask more than the base price, if its field says so."""
    assert parse_rate("150", "en_US", most_ppm=2 * MILLION) == 1_500_000


@pytest.mark.parametrize(
    ("rate_ppm", "language", "written"),
    [
        (72_500, "en_US", "7.25%"),
        (72_500, "de_DE", "7,25\xa0%"),
        (50_000, "en_US", "5%"),
        (1, "en_US", "0.0001%"),
        (0, "en_US", "0%"),
        (MILLION, "en_US", "100%"),
    ],
)
def test_a_rate_shows_all_its_decimals_and_no_more(
    rate_ppm: int, language: str, written: str
) -> None:
    """CLDR alone would write 7.25 % as 7 %."""
    assert format_rate(rate_ppm, language) == written


@settings(deadline=None)
@given(st.integers(0, MILLION), st.sampled_from(["en_US", "de_DE", "fr_FR", "sv_SE", "pt_BR"]))
def test_a_written_rate_is_read_back(rate_ppm: int, language: str) -> None:
    """As shown and as typed."""
    assert parse_rate(format_rate(rate_ppm, language), language) == rate_ppm
    assert parse_rate(typed_rate(rate_ppm, language), language) == rate_ppm
