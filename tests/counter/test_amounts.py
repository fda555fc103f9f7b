"""The reckoning of a sale: worked by hand, and what holds for every sale."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.counter.amounts import mirrored, reckon
from vendor.counter.figures import (
    NO_DISCOUNT,
    Discount,
    DiscountOutOfRange,
    Item,
    Method,
    Overpaid,
    Reckoning,
    Tender,
    Terms,
)
from vendor.house.cash import TooLittleTendered
from vendor.house.tax import TaxRounding

WITHOUT_TAX = Terms(tax_rate_ppm=0, tax_included=False, tax_rounding=TaxRounding.RECEIPT)
AT_THE_FAIR = Terms(
    tax_rate_ppm=82_500, tax_included=False, tax_rounding=TaxRounding.RECEIPT, cash_step=5
)
CASH, CARD, OTHER = Method.CASH, Method.CARD, Method.OTHER

terms_of_any_fair = st.builds(
    Terms,
    tax_rate_ppm=st.integers(0, 1_000_000),
    tax_included=st.booleans(),
    tax_rounding=st.sampled_from(TaxRounding),
    cash_step=st.sampled_from([1, 5, 10, 50, 100]),
)


@st.composite
def items(draw: st.DrawFn) -> Item:
    """Draw a line that is not refused."""
    price, quantity = draw(st.integers(0, 50_000)), draw(st.integers(1, 60))
    unit_price = draw(st.none() | st.integers(0, 50_000))
    rate = draw(st.sampled_from([0, 0, 100_000, 333_333, 1_000_000]))
    whole = quantity * (price if unit_price is None else unit_price)
    off = Discount(rate_ppm=rate) if rate else Discount(draw(st.integers(0, whole)))
    return Item(list_price=price, quantity=quantity, unit_price=unit_price, discount=off)


@st.composite
def sales(draw: st.DrawFn) -> tuple[list[Item], Terms, Discount, list[Tender]]:
    """Draw a whole sale that is not refused, paid, in part paid, or not yet."""
    rung_up, terms = draw(st.lists(items(), max_size=8)), draw(terms_of_any_fair)
    before = reckon(rung_up, terms)
    asked = before.price_total - before.line_discount
    discount = draw(
        st.just(NO_DISCOUNT)
        | st.builds(Discount, st.integers(0, asked))
        | st.builds(Discount, rate_ppm=st.integers(0, 1_000_000))
    )
    sale = reckon(rung_up, terms, discount=discount)
    part = draw(st.integers(0, sale.total))
    handed = sale.total + terms.cash_step + draw(st.integers(0, 5_000))
    payments: list[list[Tender]] = [
        [],
        [Tender(method=CARD)],
        [Tender(method=CASH, tendered=handed)],
        [Tender(method=OTHER, amount=part)],
        [Tender(method=CARD, amount=part), Tender(method=CASH)],
        [Tender(method=CASH, amount=part, tendered=handed), Tender(method=CARD)],
    ]
    return rung_up, terms, discount, draw(st.sampled_from(payments))


def reckoned(sale: tuple[list[Item], Terms, Discount, list[Tender]]) -> Reckoning:
    """Return the figures of a drawn sale."""
    rung_up, terms, discount, payments = sale
    return reckon(rung_up, terms, discount=discount, payments=payments)


def test_a_sale_at_the_fair_worked_by_hand() -> None:
    """Two tumblers at 34 and a bowl at 45, 10 % off it, 5.00 off all, 8.25 % added, cash.

    Lines 68.00 and 45.00 - 4.50 = 40.50; 5.00 over 108.50 as 3.13 and 1.87; net 103.50; tax
    8.53875, so 8.54; total 112.04; cash 112.05; of 120 handed over 7.95 goes back.
    """
    sale = reckon(
        [Item(list_price=3_400, quantity=2), Item(list_price=4_500, discount=Discount(0, 100_000))],
        AT_THE_FAIR,
        discount=Discount(500),
        payments=[Tender(method=CASH, tendered=12_000)],
    )
    assert [line.sale_discount for line in sale.lines] == [313, 187]
    assert (sale.list_total, sale.line_discount, sale.sale_discount) == (11_300, 450, 500)
    assert (sale.net, sale.tax, sale.total, sale.pieces) == (10_350, 854, 11_204, 3)
    assert (sale.cash_rounding, sale.received, sale.left) == (1, 11_205, 0)
    assert sale.payments[0].change == 795


def test_cash_rounding_touches_only_the_part_paid_in_cash() -> None:
    """52.03, of which 20.00 by card: 32.03 in cash is 32.05; all by card stays 52.03."""
    pots = [Item(list_price=5_203)]
    terms = Terms(tax_rate_ppm=0, tax_included=False, tax_rounding=TaxRounding.RECEIPT, cash_step=5)
    by_both = [Tender(method=CARD, amount=2_000), Tender(method=CASH)]
    split = reckon(pots, terms, payments=by_both)
    assert [payment.amount for payment in split.payments] == [2_000, 3_205]
    assert (split.total, split.cash_rounding, split.left) == (5_203, 2, 0)
    card = reckon(pots, terms, payments=[Tender(method=CARD)])
    assert (card.received, card.cash_rounding) == (5_203, 0)


def test_what_is_left_is_told_until_it_is_paid() -> None:
    """As it is, and as it would be in cash."""
    sale = reckon([Item(list_price=3_402)], AT_THE_FAIR, payments=[Tender(method=CARD, amount=82)])
    assert (sale.total, sale.paid, sale.left, sale.left_in_cash) == (3_683, 82, 3_601, 3_600)


def test_a_refusal_carries_what_the_page_needs_to_say() -> None:
    """By how much the payments are too high, and how much cash is missing."""
    pot = [Item(list_price=3_400)]
    with pytest.raises(Overpaid, match="still open") as over:
        reckon(pot, WITHOUT_TAX, payments=[Tender(method=CARD, amount=3_500)])
    assert over.value.excess == 100
    with pytest.raises(TooLittleTendered) as short:
        reckon(pot, WITHOUT_TAX, payments=[Tender(method=CASH, tendered=3_000)])
    assert short.value.missing == 400


def test_a_discount_that_both_parts_overdo_is_refused() -> None:
    """A rate and an amount may be given together, but not for more than the price."""
    half_and_more = Item(list_price=1_000, discount=Discount(501, 500_000))
    with pytest.raises(DiscountOutOfRange):
        reckon([half_and_more], WITHOUT_TAX)


@pytest.mark.parametrize(("rate", "step"), [(-1, 1), (1_000_001, 1), (0, 0)])
def test_terms_that_make_no_sense_are_faults(rate: int, step: int) -> None:
    """A fair's settings keep them out."""
    with pytest.raises(ValueError, match="tax rate"):
        Terms(tax_rate_ppm=rate, tax_included=True, tax_rounding=TaxRounding.LINE, cash_step=step)


@given(sales())
def test_every_figure_adds_up(sale: tuple[list[Item], Terms, Discount, list[Tender]]) -> None:
    """By line, by sale and by payment."""
    figures = reckoned(sale)
    for line in figures.lines:
        charged = line.price_total - line.discount
        assert line.discount == line.line_discount + line.sale_discount
        assert line.total == line.net + line.tax
        assert charged == (line.total if sale[1].tax_included else line.net)
        assert min(charged, line.net, line.tax, line.line_discount, line.sale_discount) >= 0
    summed = ("list_total", "price_total", "line_discount", "sale_discount", "discount")
    for name in (*summed, "net", "tax", "total"):
        assert getattr(figures, name) == sum(getattr(line, name) for line in figures.lines)
    assert figures.total == figures.paid + figures.left
    assert figures.received == figures.paid + figures.cash_rounding
    for payment in figures.payments:
        assert payment.amount == payment.settled + payment.rounding
        assert payment.tendered == payment.amount + payment.change
        assert min(payment.amount, payment.change) >= 0
        assert payment.method is CASH or payment.rounding == payment.change == 0


@given(sales())
def test_tax_is_the_exact_one_rounded_half_up(
    sale: tuple[list[Item], Terms, Discount, list[Tender]],
) -> None:
    """Against exact fractions, for the line or the receipt, added or included."""
    figures, terms = reckoned(sale), sale[1]
    rate = Fraction(terms.tax_rate_ppm, 1_000_000)
    part = rate / (1 + rate) if terms.tax_included else rate
    by_line = terms.tax_rounding is TaxRounding.LINE
    for taxed in figures.lines if by_line else [figures]:
        exact = (taxed.price_total - taxed.discount) * part
        assert Fraction(-1, 2) < taxed.tax - exact <= Fraction(1, 2)


@given(sales())
def test_a_sale_and_its_mirror_come_to_nothing(
    sale: tuple[list[Item], Terms, Discount, list[Tender]],
) -> None:
    """Every amount and piece; the till too; and the mirror of the mirror is the sale again."""
    there = reckoned(sale)
    back = mirrored(there)
    for line, returned in zip(there.lines, back.lines, strict=True):
        assert (returned.list_price, returned.unit_price) == (line.list_price, line.unit_price)
        assert returned.list_total == returned.quantity * returned.list_price
        assert returned.quantity + line.quantity == 0
        assert (
            returned.total + line.total == returned.net + line.net == returned.tax + line.tax == 0
        )
    assert back.total + there.total == back.tax + there.tax == back.pieces + there.pieces == 0
    assert back.received + there.received == back.cash_rounding + there.cash_rounding == 0
    assert [payment.method for payment in back.payments] == [p.method for p in there.payments]
    assert all(payment.tendered == payment.amount for payment in back.payments)
    assert mirrored(back).lines == there.lines
