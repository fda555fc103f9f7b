"""Tax: the published roundings, and sums that always hold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.money import MILLION
from vendor.house.tax import Taxed, TaxRounding, add_tax, take_out_tax, tax_lines

rates = st.integers(0, MILLION)
amounts = st.integers(0, 10**9)
LINE, RECEIPT = TaxRounding


@pytest.mark.parametrize(
    ("net", "rate_ppm", "tax"),
    [
        (5_000, 82_500, 413),
        (100, 45_000, 5),
        (300, 55_000, 17),
        (250, 50_000, 13),
        (10, 50_000, 1),
        (20, 72_500, 1),
        (1_250, 60_000, 75),
    ],
)
def test_the_third_decimal_above_four_goes_up(net: int, rate_ppm: int, tax: int) -> None:
    """SSUTA §324 (N.D. Century Code 57-39.4-25; N.D. Admin. Code 81-04.1-01-29).

    0.20 at 7.25 % is 0.0145, so one cent: rounding to 0.015 first would make two. Kan. Admin.
    Regs. 92-19-1b: an even half cent goes to the next higher cent.
    """
    assert add_tax(net, rate_ppm) == Taxed(net, tax)


@given(amounts, rates)
def test_rounding_is_cutting_at_the_third_decimal_and_then_above_four(net: int, rate: int) -> None:
    """SSUTA §324 as the text has it: compute to the third decimal, up when it is above four."""
    thousandths = net * rate * 10 // MILLION
    cents, third = divmod(thousandths, 10)
    assert add_tax(net, rate).tax == cents + (third > 4)


@pytest.mark.parametrize(
    ("net", "rate_ppm", "tax"),
    [
        (5_000, 80_000, 400),
        (4_500, 60_000, 270),
        (8_000, 60_000, 480),
        (3_000, 45_000, 135),
        (10_000, 45_000, 450),
        (2_500, 50_000, 125),
    ],
)
def test_textbook_prices_are_taxed_as_printed(net: int, rate_ppm: int, tax: int) -> None:
    """OpenStax Principles of Financial Accounting, chapter 12 (m67903), text and exercises."""
    assert add_tax(net, rate_ppm).tax == tax


def test_a_textbook_day_of_sales_owes_what_its_items_owe() -> None:
    """OpenStax, chapter 12 exercise data: 38 at 45 and 22 at 80, 6 %: 208.20 (worked out)."""
    day = [4_500] * 38 + [8_000] * 22
    for by in TaxRounding:
        assert sum(line.tax for line in tax_lines(day, 60_000, included=False, by=by)) == 20_820


@pytest.mark.parametrize(
    ("total", "rate_ppm", "net", "tax"),
    [
        (10_000, 96_800, 9_117, 883),
        (20_000, 44_500, 19_148, 852),
        (105_000, 50_000, 100_000, 5_000),
        (3, 200_000, 2, 1),
        (0, 72_500, 0, 0),
    ],
)
def test_included_tax_is_factored_out(total: int, rate_ppm: int, net: int, tax: int) -> None:
    """Town of Paradise Valley AZ, tax factoring: 100.00 at 9.68 % is 91.17 + 8.83.

    200 at 4.45 % and 1,050 at 5 %: worked answers on Bayt and Answers, recomputed. That tax is
    factored out by dividing by 1 + rate: Kansas Pub. KS-1560. An even half cent (3 cents at
    20 %) goes to the tax.
    """
    assert take_out_tax(total, rate_ppm) == Taxed(net, tax)


def test_by_line_and_by_receipt_differ_as_they_may() -> None:
    """SSUTA §324 lets the seller elect an item or invoice basis: 3 × 0.47 at 7 % (worked out)."""
    three = [47, 47, 47]
    by_line = tax_lines(three, 70_000, included=False, by=LINE)
    by_receipt = tax_lines(three, 70_000, included=False, by=RECEIPT)
    assert [line.tax for line in by_line] == [3, 3, 3]
    assert [line.tax for line in by_receipt] == [4, 3, 3]


@given(st.lists(amounts, max_size=30), rates, st.booleans(), st.sampled_from(TaxRounding))
def test_lines_add_up_to_what_is_paid(
    prices: list[int], rate: int, included: bool, by: TaxRounding
) -> None:
    """Included: net + tax is the price, to the unit. Added: the price is the net."""
    lines = tax_lines(prices, rate, included=included, by=by)
    for line, price in zip(lines, prices, strict=True):
        assert (line.total if included else line.net) == price
        assert min(line.net, line.tax) >= 0
    if by is RECEIPT:
        whole = take_out_tax(sum(prices), rate) if included else add_tax(sum(prices), rate)
        assert sum(line.tax for line in lines) == whole.tax
        assert sum(line.total for line in lines) == whole.total


@given(st.integers(-(10**9), 10**9), rates)
def test_a_refund_is_taxed_as_the_mirror_of_its_sale(amount: int, rate: int) -> None:
    """Added or included."""
    for taxed in (add_tax, take_out_tax):
        there, back = taxed(amount, rate), taxed(-amount, rate)
        assert (back.net, back.tax) == (-there.net, -there.tax)


def test_the_plain_word_of_a_setting_is_understood_and_a_wrong_one_is_not() -> None:
    """A word that names no way of rounding must not pass for one."""
    as_line = tax_lines([47] * 3, 70_000, included=False, by="line")  # type: ignore[arg-type]
    assert sum(line.tax for line in as_line) == 9
    with pytest.raises(ValueError, match="weekly"):
        tax_lines([47], 70_000, included=False, by="weekly")  # type: ignore[arg-type]
