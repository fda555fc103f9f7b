"""Prices as they stand on a tag, in every currency."""

import iso4217
import pytest

from vendor.house.models import Studio
from vendor.house.typeface import missing_glyphs
from vendor.labels.job import printable_money


@pytest.mark.parametrize("language", ["en", "de", "es", "fr", "pl", "pt", "tr", "vi"])
def test_a_price_in_every_currency_can_be_printed(language: str) -> None:
    """By its sign, or by its letters where no typeface has the sign."""
    for each in iso4217.Currency:
        if each.exponent is not None:
            studio = Studio(currency=each.code.upper(), language=language)
            assert missing_glyphs(printable_money(3400, studio)) == "", each
    assert printable_money(3400, Studio(currency="ILS", language="en")) == "₪34.00"
    assert printable_money(3400, Studio(currency="THB", language="th")) == "THB 34.00"
