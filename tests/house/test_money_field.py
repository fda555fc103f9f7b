"""The one field for amounts: typed as the studio writes them, read into whole minor units."""

from typing import Any

import pytest
from django import forms

from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio


class PostageForm(forms.Form):
    """An amount that may be left out, and one above zero with an end."""

    postage = MoneyField(required=False)
    price = MoneyField(above_zero=True, most=100_000)


def typed(studio: Studio | None = None, initial: Any = None, **said: str) -> PostageForm:
    form = PostageForm(said, initial=initial)
    in_currency(form, studio or Studio(currency="USD", language="en_US"))
    return form


@pytest.mark.parametrize(
    ("language", "currency", "text", "minor"),
    [
        ("en_US", "USD", "$1,000.00", 100_000),
        ("de_DE", "EUR", "34,50 €", 3_450),
        ("ja_JP", "JPY", "34", 34),
    ],
)
def test_an_amount_is_read_as_the_studio_writes_it(
    language: str, currency: str, text: str, minor: int
) -> None:
    """Whole minor units; what was left out is None."""
    form = typed(Studio(currency=currency, language=language), price=text)
    assert form.is_valid()
    assert form.cleaned_data == {"postage": None, "price": minor}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("0", "above zero"),
        ("1000.01", "slip of the keys"),
        ("-1", "below zero"),
        ("3.555", "at most 2 decimals"),
        ("", "still empty"),
    ],
)
def test_what_is_no_such_amount_is_told(text: str, told: str) -> None:
    """Nothing, too much, a minus, half cents."""
    assert told in str(typed(price=text).errors["price"])


def test_an_amount_may_be_zero_where_nothing_else_is_said() -> None:
    """Postage that cost nothing is not postage that nobody knows."""
    assert typed(price="1", postage="0").is_valid()


def test_an_amount_that_is_kept_is_shown_as_it_would_be_typed() -> None:
    """And what was typed wrong is shown as it was typed."""
    form = PostageForm(initial={"price": 3_450})
    in_currency(form, Studio(currency="EUR", language="de_DE"))
    assert 'value="34,50"' in str(form["price"])
    assert 'value="a lot"' in str(typed(price="a lot")["price"])


@pytest.mark.parametrize(("text", "changed"), [("$34", False), ("34.00", False), ("35", True)])
def test_the_same_amount_written_otherwise_is_no_change(text: str, changed: bool) -> None:
    """$34 is 34.00."""
    assert ("price" in typed(initial={"price": 3_400}, price=text).changed_data) is changed
