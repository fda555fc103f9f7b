"""Prices: by ware, else by form, by tier and day, else a share of the base price, never zero."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.ware.pricing import (
    DatedPrice,
    Origin,
    Price,
    PriceBook,
    PriceEnding,
    PriceMissing,
    TierRule,
)

FAIR, ONLINE, SECOND, TRADE = 1, 2, 3, 4
TUMBLER, BOWL = 10, 11
CELADON_TUMBLER, TENMOKU_TUMBLER, ASH_BOWL = 100, 101, 110
TIERS = (
    TierRule(FAIR, "Fair", is_base=True),
    TierRule(ONLINE, "Online", share_ppm=1_100_000),
    TierRule(SECOND, "Second", share_ppm=600_000, for_seconds=True),
    TierRule(TRADE, "Trade"),
)
AUTUMN, WINTER, SPRING = date(2026, 9, 1), date(2026, 12, 1), date(2027, 3, 1)
WHOLE_UNITS = PriceEnding(step=100, ending=0)


def of_form(form: int, amount: int, since: date = AUTUMN, tier: int = FAIR) -> DatedPrice:
    """Return a price of a whole form."""
    return DatedPrice(tier_id=tier, amount=amount, from_date=since, form_id=form)


def of_ware(ware: int, amount: int, since: date = AUTUMN, tier: int = FAIR) -> DatedPrice:
    """Return a price of one ware."""
    return DatedPrice(tier_id=tier, amount=amount, from_date=since, ware_id=ware)


def book(
    *prices: DatedPrice,
    on: date = WINTER,
    ending: PriceEnding = WHOLE_UNITS,
    tiers: tuple[TierRule, ...] = TIERS,
) -> PriceBook:
    """Return the prices as they stand on a day."""
    names = {CELADON_TUMBLER: "Tumbler, celadon", ASH_BOWL: "Berry bowl, ash"}
    return PriceBook(prices=prices, tiers=tiers, ending=ending, on=on, ware_names=names)


def test_a_ware_s_own_price_goes_before_its_form_s() -> None:
    """And the form's serves every other ware of it."""
    prices = book(of_form(TUMBLER, 3_400), of_ware(CELADON_TUMBLER, 3_800))
    assert prices.price(CELADON_TUMBLER, TUMBLER, FAIR) == 3_800
    assert prices.price(TENMOKU_TUMBLER, TUMBLER, FAIR) == 3_400


def test_the_latest_price_that_has_begun_counts() -> None:
    """On its first day it counts already; a coming one does not."""
    dated = (
        of_form(TUMBLER, 3_600, WINTER),
        of_form(TUMBLER, 3_400, AUTUMN),
        of_form(TUMBLER, 4_000, SPRING),
    )
    assert book(*dated, on=date(2026, 11, 30)).price(CELADON_TUMBLER, TUMBLER, FAIR) == 3_400
    assert book(*dated, on=WINTER).price(CELADON_TUMBLER, TUMBLER, FAIR) == 3_600
    assert book(*dated, on=SPRING).price(CELADON_TUMBLER, TUMBLER, FAIR) == 4_000


def test_a_newer_form_price_does_not_displace_a_ware_s_own() -> None:
    """By ware first, by day second."""
    prices = book(of_ware(CELADON_TUMBLER, 3_800, AUTUMN), of_form(TUMBLER, 3_600, WINTER))
    assert prices.price(CELADON_TUMBLER, TUMBLER, FAIR) == 3_800


def test_a_tier_without_a_price_asks_its_share_of_the_base_price() -> None:
    """Of the ware's own base price where it has one: 110 % of 38 is 41.80, so 42."""
    prices = book(of_form(TUMBLER, 3_400), of_ware(CELADON_TUMBLER, 3_800))
    assert prices.price(CELADON_TUMBLER, TUMBLER, ONLINE) == 4_200
    assert prices.price(TENMOKU_TUMBLER, TUMBLER, ONLINE) == 3_700


def test_a_tier_s_own_price_goes_before_its_share() -> None:
    """Also a form's price at the tier before a share of the ware's base price."""
    prices = book(of_ware(CELADON_TUMBLER, 3_800), of_form(TUMBLER, 3_650, tier=ONLINE))
    assert prices.price(CELADON_TUMBLER, TUMBLER, ONLINE) == 3_650


def test_a_second_costs_what_the_tier_for_seconds_asks() -> None:
    """60 % of 34 is 20.40, so 20; one priced by hand stays as it is."""
    prices = book(of_form(TUMBLER, 3_400), of_ware(CELADON_TUMBLER, 1_950, tier=SECOND))
    assert prices.second_price(TENMOKU_TUMBLER, TUMBLER) == 2_000
    assert prices.second_price(CELADON_TUMBLER, TUMBLER) == 1_950


def test_a_price_tells_where_it_comes_from() -> None:
    """Its origin, and the day from which that holds."""
    prices = book(of_form(TUMBLER, 3_400), of_ware(CELADON_TUMBLER, 3_800, WINTER))
    assert prices.find(CELADON_TUMBLER, TUMBLER, FAIR) == Price(3_800, Origin.WARE, WINTER)
    assert prices.find(TENMOKU_TUMBLER, TUMBLER, FAIR) == Price(3_400, Origin.FORM, AUTUMN)
    assert prices.find(CELADON_TUMBLER, TUMBLER, ONLINE) == Price(4_200, Origin.SHARE, WINTER)
    assert prices.find(ASH_BOWL, BOWL, FAIR) is None


@pytest.mark.parametrize(
    ("tier", "said"),
    [
        (FAIR, "“Berry bowl, ash” has no price at the tier “Fair” on 2026-12-01"),
        (ONLINE, "a price at “Online” or “Fair”"),
        (TRADE, "a price at “Trade”."),
    ],
)
def test_a_missing_price_names_the_ware_and_the_tier(tier: int, said: str) -> None:
    """It is an error, never zero."""
    with pytest.raises(PriceMissing, match="Nothing was changed") as refused:
        book(of_form(TUMBLER, 3_400)).price(ASH_BOWL, BOWL, tier)
    assert said in refused.value.message


def test_a_tier_with_only_its_own_prices_takes_no_share() -> None:
    """A base price does not help a tier that has no share."""
    with pytest.raises(PriceMissing):
        book(of_form(TUMBLER, 3_400)).price(CELADON_TUMBLER, TUMBLER, TRADE)


def test_without_a_tier_for_seconds_a_second_has_no_price() -> None:
    """The refusal says what to mark."""
    with pytest.raises(PriceMissing, match="Mark one list as the one for seconds"):
        book(of_form(TUMBLER, 3_400), tiers=TIERS[:2]).second_price(CELADON_TUMBLER, TUMBLER)


def test_without_a_base_tier_a_share_has_nothing_to_be_of() -> None:
    """Before a studio has marked its base tier."""
    with pytest.raises(PriceMissing, match=r"ware 101.* at “Second”"):
        book(of_form(TUMBLER, 3_400), tiers=TIERS[1:3]).price(TENMOKU_TUMBLER, TUMBLER, SECOND)


@pytest.mark.parametrize(
    ("step", "ending", "exact", "rounded"),
    [
        (100, 0, Fraction(3_449), 3_400),
        (100, 0, Fraction(3_450), 3_500),
        (100, 50, Fraction(3_400), 3_450),
        (100, 50, Fraction(3_399), 3_350),
        (100, 99, Fraction(3_448), 3_399),
        (100, 99, Fraction(3_449), 3_499),
        (500, 0, Fraction(2_040), 2_000),
        (1, 0, Fraction(5, 2), 3),
        (1, 0, Fraction(1, 10), 1),
        (100, 0, Fraction(3), 100),
        (100, 50, Fraction(0), 50),
        (100, 0, Fraction(34_499_999, 10_000), 3_400),
    ],
)
def test_a_worked_out_price_ends_as_the_studio_s_prices_do(
    step: int, ending: int, exact: Fraction, rounded: int
) -> None:
    """Nearest, halfway up, rounded once, and never below the smallest such price."""
    assert PriceEnding(step, ending).nearest(exact.numerator, exact.denominator) == rounded


@given(st.integers(1, 10_000), st.data(), st.fractions(0, 10**7))
def test_no_other_price_with_the_ending_is_nearer(
    step: int, data: st.DataObject, exact: Fraction
) -> None:
    """And the higher one is taken of two that are as near."""
    ending = data.draw(st.integers(0, step - 1))
    price = PriceEnding(step, ending).nearest(exact.numerator, exact.denominator)
    assert price % step == ending
    assert price > 0
    assert abs(price - exact) < abs(price + step - exact)
    assert price <= step or abs(price - exact) <= abs(price - step - exact)


@pytest.mark.parametrize(
    "act",
    [
        lambda: PriceEnding(100, 100),
        lambda: PriceEnding(0, 0),
        lambda: PriceEnding(100, -1),
        lambda: of_form(TUMBLER, 0),
        lambda: DatedPrice(FAIR, 3_400, AUTUMN),
        lambda: DatedPrice(FAIR, 3_400, AUTUMN, ware_id=1, form_id=1),
        lambda: TierRule(FAIR, "Fair", share_ppm=1, is_base=True),
        lambda: book(of_form(TUMBLER, 3_400), of_form(TUMBLER, 3_600)),
    ],
)
def test_rows_that_make_no_sense_are_faults(act: object) -> None:
    """The tables keep such rows out; here they would hide a fault of the program."""
    assert callable(act)
    with pytest.raises(ValueError, match=r"."):
        act()
