"""Money, days, lengths and weights read as the studio writes them."""

import datetime
import zoneinfo
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house import written
from vendor.house.models import Studio

METRIC = Studio(currency="USD", language="en_US", units="cm", time_zone="America/New_York")
INCHES = Studio(currency="USD", language="en_US", units="in", time_zone="America/New_York")
GERMAN = Studio(currency="EUR", language="de_DE", units="cm", time_zone="Europe/Berlin")
YEN = Studio(currency="JPY", language="en_US", units="cm", time_zone="UTC")


def test_money_has_its_sign_or_not() -> None:
    """With the sign in sentences, without it in columns, as a number for spreadsheets."""
    assert written.money(123450, METRIC) == "$1,234.50"
    assert written.bare_money(123450, METRIC) == "1,234.50"
    assert written.major(123450, METRIC) == Decimal("1234.50")
    assert written.bare_money(3400, GERMAN) == "34,00"
    assert written.major(3400, YEN) == Decimal(3400)


@pytest.mark.parametrize(
    ("mm", "text"),
    [(110, "11 cm"), (115, "11.5 cm"), (4, "0.4 cm"), (2000, "200 cm")],
)
def test_metric_lengths_are_centimetres(mm: int, text: str) -> None:
    """To the millimetre, with no needless zeros."""
    assert written.length(mm, METRIC) == text


@pytest.mark.parametrize(
    ("mm", "text"),
    # 1 in = 25.4 mm exactly.
    [(254, "10 in"), (114, "4½ in"), (108, "4¼ in"), (6, "¼ in"), (3, "0 in"), (95, "3¾ in")],
)
def test_inches_go_to_the_nearest_quarter(mm: int, text: str) -> None:
    """As potters say them."""
    assert written.length(mm, INCHES) == text


@pytest.mark.parametrize(
    ("grams", "metric", "pounds"),
    # 1 lb = 453.592 37 g exactly, 16 oz to the pound.
    [
        (28, "28 g", "1 oz"),
        (12, "12 g", "½ oz"),
        (340, "340 g", "12 oz"),
        (453, "453 g", "1 lb"),
        (454, "454 g", "1 lb"),
        (510, "510 g", "1 lb 2 oz"),
        (1250, "1.25 kg", "2 lb 12 oz"),
        (2000, "2 kg", "4 lb 7 oz"),
    ],
)
def test_weights_are_said_as_on_the_scales(grams: int, metric: str, pounds: str) -> None:
    """Grams and kilograms, or pounds and ounces with the ounces never sixteen."""
    assert written.weight(grams, METRIC) == metric
    assert written.weight(grams, INCHES) == pounds


@given(st.integers(0, 100_000))
def test_pounds_and_ounces_are_within_half_an_ounce(grams: int) -> None:
    """Rounding never piles up, whatever the weight."""
    text = written.weight(grams, INCHES)
    quarters = {"¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4)}
    ounces = Fraction(0)
    parts = text.split()
    for amount, unit in zip(parts[::2], parts[1::2], strict=True):
        fraction = quarters.get(amount[-1], Fraction(0))
        whole = amount[:-1] if fraction else amount
        ounces += (int(whole or 0) + fraction) * (16 if unit == "lb" else 1)
    exact = Fraction(grams * 1_000_000_000, 28_349_523_125)
    assert abs(ounces - exact) <= Fraction(1, 2)


def test_days_and_moments_follow_the_studio_s_clock() -> None:
    """A moment late in the evening in one zone is still that day at the studio."""
    late = datetime.datetime(2026, 12, 6, 2, 5, tzinfo=zoneinfo.ZoneInfo("UTC"))
    assert written.day(datetime.date(2026, 12, 5), METRIC) == "Sat, Dec 5, 2026"
    assert written.moment(late, METRIC).startswith("Sat, Dec 5, 2026, 9:05")
    assert written.moment(late, GERMAN) == "So., 6. Dez. 2026, 03:05"


def test_a_weekend_is_said_in_short() -> None:
    """The month once, and one day as one day."""
    days = written.days(datetime.date(2026, 11, 21), datetime.date(2026, 11, 22), METRIC)
    assert days.startswith("Nov 21")
    assert days.endswith("22")
    assert written.days(datetime.date(2026, 12, 5), datetime.date(2026, 12, 5), METRIC) == "Dec 5"
    assert written.size(115, 85, METRIC) == "11.5 cm high, 8.5 cm wide"
