"""Amounts as people type and read them, in their language; and what is refused."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vendor.house.money import (
    MAX_MINOR,
    Currency,
    NotAnAmount,
    currencies,
    format_amount,
    format_number,
    parse_amount,
    plain_amount,
    typed_amount,
)
from vendor.house.numerals import UnknownLanguage

USD, KWD, JPY, MGA = (Currency.of(code) for code in ("USD", "KWD", "JPY", "MGA"))
LANGUAGES = (
    *("en_US", "en_GB", "en_IN", "en_ZA", "de_DE", "de_AT", "de_CH", "fr_FR", "fr_CH", "es_ES"),
    *("it_IT", "pt_BR", "pl_PL", "sv_SE", "nb_NO", "cs_CZ", "hu_HU", "fi_FI", "ja_JP", "ko_KR"),
    *("hi_IN", "bn_BD", "ar_EG", "fa_IR", "he_IL", "tr_TR"),
)
any_currency = st.sampled_from(list(currencies().values()))
any_language = st.sampled_from(LANGUAGES)
any_amount = st.integers(0, MAX_MINOR)


@pytest.mark.parametrize(
    ("text", "currency", "language", "minor"),
    [
        ("34", USD, "en_US", 3_400),
        (" 34.00 ", USD, "en_US", 3_400),
        ("34.5", USD, "en_US", 3_450),
        (".50", USD, "en_US", 50),
        ("0", USD, "en_US", 0),
        ("007", USD, "en_US", 700),
        ("1,234.50", USD, "en_US", 123_450),
        ("1,234", USD, "en_US", 123_400),
        ("$1,234.50", USD, "en_US", 123_450),
        ("USD 34", USD, "en_US", 3_400),
        ("34 usd", USD, "en_US", 3_400),
        ("34,50", USD, "de_DE", 3_450),
        ("1.234,50", USD, "de_DE", 123_450),
        ("1.234", USD, "de_DE", 123_400),
        ("1 234,50", USD, "fr_FR", 123_450),
        ("1\u202f234,50", USD, "fr_FR", 123_450),
        ("1'234.50", USD, "de_CH", 123_450),
        ("1’234.50", USD, "de_CH", 123_450),
        ("1 234.50", USD, "en_US", 123_450),
        ("1,23,456.50", USD, "en_IN", 12_345_650),
        ("34,50", USD, "en_US", 3_450),
        ("34.50", USD, "de_DE", 3_450),
        ("1.234", KWD, "en_US", 1_234),
        ("1,234", KWD, "en_US", 1_234_000),
        ("1,234", KWD, "de_DE", 1_234),
        ("34", JPY, "ja_JP", 34),
        ("9,999,999,999.99", USD, "en_US", MAX_MINOR),
    ],
)
def test_an_amount_is_read_as_people_write_it(
    text: str, currency: Currency, language: str, minor: int
) -> None:
    """By the language first; then what can mean only one thing."""
    assert parse_amount(text, currency, language) == minor


@pytest.mark.parametrize(
    ("text", "currency", "language"),
    [
        ("1.234", USD, "en_US"),
        ("34.505", USD, "en_US"),
        ("34,5", USD, "en_US"),
        ("1,2345", USD, "en_US"),
        ("1,23,4", USD, "en_US"),
        ("1.234,50", USD, "en_US"),
        ("34.00", JPY, "ja_JP"),
        ("34.", USD, "en_US"),
        ("3 4", USD, "en_US"),
        ("£34", USD, "en_US"),
        ("34 €", USD, "de_DE"),
        ("1e5", USD, "en_US"),
        ("1_000", USD, "en_US"),
        ("NaN", USD, "en_US"),
        ("Infinity", USD, "en_US"),
        ("٣٤", USD, "ar_EG"),
        ("３４", USD, "ja_JP"),
        ("thirty", USD, "en_US"),
        ("$", USD, "en_US"),
        (".", USD, "en_US"),
        ("=1+1", USD, "en_US"),
        ("1" * 5_000, USD, "en_US"),
    ],
)
def test_what_could_mean_something_else_is_refused(
    text: str, currency: Currency, language: str
) -> None:
    """A slip is never guessed at: the refusal repeats it and shows a right one."""
    with pytest.raises(NotAnAmount, match=r"can't be read .* for example") as refused:
        parse_amount(text, currency, language)
    assert len(refused.value.message) < 200


@pytest.mark.parametrize("text", ["-34", "−34", "$-34", "-$34", "34-", "(34)"])
def test_an_amount_below_zero_is_refused(text: str) -> None:
    """Money that goes back is a refund, not a minus."""
    with pytest.raises(NotAnAmount, match="below zero"):
        parse_amount(text, USD, "en_US")


def test_an_empty_amount_is_refused_as_such() -> None:
    """An empty field is told apart from an unreadable one."""
    with pytest.raises(NotAnAmount, match="There is no amount"):
        parse_amount("  ", USD, "en_US")


def test_an_amount_too_large_names_the_largest() -> None:
    """A slip of the keys does not reach the books."""
    with pytest.raises(NotAnAmount, match=r"The most .* \$9,999,999,999\.99"):
        parse_amount("10,000,000,000", USD, "en_US")


def test_a_language_that_is_none_is_refused() -> None:
    """The refusal says where to mend it."""
    with pytest.raises(UnknownLanguage, match="settings"):
        format_amount(3_400, USD, "tlh-QO")


@pytest.mark.parametrize(
    ("minor", "currency", "language", "written"),
    [
        (123_450, USD, "en_US", "$1,234.50"),
        (-123_450, USD, "en_US", "-$1,234.50"),
        (123_450, USD, "de_DE", "1.234,50\xa0$"),
        (1_234, JPY, "en_US", "¥1,234"),
        (34_000, KWD, "en_US", "KWD\xa034.000"),
        (123_450, MGA, "en_US", "MGA\xa01,234.50"),
        (123_450, MGA, "bn_BD", "1,234.50\xa0MGA"),
    ],
)
def test_an_amount_is_written_by_the_language_with_all_its_decimals(
    minor: int, currency: Currency, language: str, written: str
) -> None:
    """CLDR writes MGA without decimals; ISO 4217 gives it two, and none may be hidden."""
    assert format_amount(minor, currency, language) == written


def test_columns_and_machines_get_no_sign_of_the_currency() -> None:
    """For people with thousands set off; for CSV with digits and a point only."""
    assert format_number(123_450, USD, "en_US") == "1,234.50"
    assert format_number(123_450, USD, "de_DE") == "1.234,50"
    assert plain_amount(123_450, USD) == "1234.50"
    assert plain_amount(-5, KWD) == "-0.005"
    assert plain_amount(34, JPY) == "34"


@settings(deadline=None)
@given(any_amount, any_currency, any_language)
def test_what_is_written_is_read_back(minor: int, currency: Currency, language: str) -> None:
    """Over all currencies of ISO 4217 and two dozen languages, in each way of writing."""
    for written in (
        format_amount(minor, currency, language),
        format_number(minor, currency, language),
        typed_amount(minor, currency, language),
    ):
        assert parse_amount(written, currency, language) == minor


@settings(deadline=None)
@given(st.text(), any_currency, any_language)
def test_no_text_is_a_fault(text: str, currency: Currency, language: str) -> None:
    """Whatever is typed is an amount within bounds or a refusal."""
    with suppress(NotAnAmount):
        assert 0 <= parse_amount(text, currency, language) <= MAX_MINOR
