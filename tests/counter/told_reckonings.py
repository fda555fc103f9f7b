"""Sales told by hand for `fixtures/reckonings.json`: published figures, edges, and refusals."""

from collections.abc import Iterator
from typing import Any

Given = dict[str, Any]
Case = dict[str, Any]

SSUTA = "Streamlined Sales and Use Tax Agreement section 324 (N.D. Century Code 57-39.4-25)"
CANADA = "Government of Canada, 2012: rounding of cash transactions to 5 cents"
PARADISE_VALLEY = "Town of Paradise Valley, Arizona: tax factoring"
OPENSTAX = "OpenStax Principles of Financial Accounting, chapter 12"
SWEDEN = "Receipts with a cash step of 0.50 as shown under “Swedish rounding”, Wikipedia"


def item(
    list_price: int, quantity: int = 1, unit_price: int | None = None, *, off: int = 0, ppm: int = 0
) -> Given:
    """Return a line: pieces at a price, with a one-off price and a discount if any."""
    return {
        "list_price": list_price,
        "quantity": quantity,
        "unit_price": unit_price,
        "discount": {"amount": off, "rate_ppm": ppm},
    }


def pay(method: str, amount: int | None = None, tendered: int | None = None) -> Given:
    """Return a payment: of an amount or of the rest, with what was handed over if known."""
    return {"method": method, "amount": amount, "tendered": tendered}


def sale(
    *items: Given,
    tax: int = 0,
    included: bool = False,
    by: str = "receipt",
    step: int = 1,
    off: int = 0,
    ppm: int = 0,
    paid: tuple[Given, ...] = (),
) -> Given:
    """Return what a case gives: lines, terms, the whole sale's discount, payments."""
    return {
        "terms": {
            "tax_rate_ppm": tax,
            "tax_included": included,
            "tax_rounding": by,
            "cash_step": step,
        },
        "items": list(items),
        "discount": {"amount": off, "rate_ppm": ppm},
        "payments": list(paid),
    }


def told() -> Iterator[Case]:
    """Yield every case told by hand."""
    yield from _published()
    for name, given in (*_discounts(), *_taxes(), *_payments(), *_refusals()):
        yield {"name": name, "given": given}


def _published() -> Iterator[Case]:
    """Yield sales whose figures are published."""

    def case(name: str, source: str, given: Given) -> Case:
        return {"name": name, "source": source, "given": given}

    for price, rate in (
        (5_000, 82_500),
        (100, 45_000),
        (300, 55_000),
        (250, 50_000),
        (10, 50_000),
        (20, 72_500),
        (1_250, 60_000),
    ):
        yield case(f"{price} taxed at {rate} ppm", SSUTA, sale(item(price), tax=rate))
    three = (item(47), item(47), item(47))
    yield case("three at 0.47, 7 % by line", SSUTA, sale(*three, tax=70_000, by="line"))
    yield case("three at 0.47, 7 % by receipt", SSUTA, sale(*three, tax=70_000))
    yield case("100 holds 9.68 %", PARADISE_VALLEY, sale(item(10_000), tax=96_800, included=True))
    yield case("shoes of 50 at 8 %", OPENSTAX, sale(item(5_000), tax=80_000))
    coffee = (item(183), item(286))
    for method in ("cash", "card"):
        yield case(
            f"(1.83 + 2.86) at 5 % by {method}",
            CANADA,
            sale(*coffee, tax=50_000, step=5, paid=(pay(method),)),
        )
    for cents in range(101, 111):
        yield case(f"{cents} cents in cash", CANADA, sale(item(cents), step=5, paid=(pay("cash"),)))
    for ore in (22_320, 6_540):
        yield case(f"{ore} öre in cash", SWEDEN, sale(item(ore), step=50, paid=(pay("cash"),)))
    yield case("32488 öre by card", SWEDEN, sale(item(32_488), step=50, paid=(pay("card"),)))


def _discounts() -> Iterator[tuple[str, Given]]:
    """Yield sales with prices and discounts at their edges."""
    yield "nothing rung up", sale(tax=72_500, step=5)
    yield "one piece at its list price", sale(item(3_400), tax=72_500)
    yield "a one-off price below the list price", sale(item(3_400, 2, 3_000), tax=72_500)
    yield "a one-off price above the list price", sale(item(3_400, 2, 4_000), tax=72_500)
    yield "a piece given away", sale(item(3_400, 1, 0), item(1_200), tax=72_500)
    yield "three for 21.00 by an amount off", sale(item(800, 3, off=300), tax=72_500)
    yield "a rate off a line, half a cent", sale(item(50, ppm=10_000))
    yield "a rate and an amount off a line", sale(item(1_000, 2, off=50, ppm=100_000))
    yield "all of a line off", sale(item(3_400, off=3_400), item(500), tax=72_500)
    yield "10.00 off, in thirds", sale(item(1_000), item(1_000), item(1_000), off=1_000)
    yield "a cent off three lines", sale(item(1), item(1), item(1), off=1)
    yield "a rate off the whole sale", sale(item(3_333), item(1_111), ppm=125_000, tax=82_500)
    yield "all of the sale off", sale(item(3_333), item(1_111, 4), ppm=1_000_000, tax=82_500)
    yield "discounts on line and sale", sale(item(999, 3, ppm=333_333), item(1), off=700)
    yield "a free line takes no discount", sale(item(0), item(700), off=100)


def _taxes() -> Iterator[tuple[str, Given]]:
    """Yield sales that differ by how tax is rounded."""
    lines = (item(95), item(1_099, 3), item(333, ppm=50_000), item(0))
    for by in ("line", "receipt"):
        for included in (False, True):
            how = f"{'included' if included else 'added'}, by {by}"
            yield f"tax {how}", sale(*lines, tax=82_500, included=included, by=by)
            yield f"tax {how}, sale discount", sale(*lines, tax=96_800, included=included, off=77)
    yield "a rate of nothing", sale(item(3_400), included=True)
    yield "a rate of everything", sale(item(3_401), tax=1_000_000, included=True)
    yield "half a cent of included tax", sale(item(3), tax=200_000, included=True)
    yield "a rate to the last decimal", sale(item(123_456), tax=88_753)
    yield "as large as can be", sale(item(999_999_999_999), tax=999_999, included=True)


def _payments() -> Iterator[tuple[str, Given]]:
    """Yield sales paid in all ways."""
    pots = (item(3_402), item(1_801))
    yield "cash with change", sale(*pots, step=5, paid=(pay("cash", None, 6_000),))
    yield "cash to the cent", sale(*pots, paid=(pay("cash", None, 5_203),))
    yield "card for part, nothing else yet", sale(*pots, step=5, paid=(pay("card", 2_000),))
    yield "card and cash", sale(*pots, step=5, paid=(pay("card", 2_000), pay("cash")))
    yield "cash and card", sale(*pots, step=5, paid=(pay("cash", 2_000, 2_000), pay("card")))
    yield "cash first, off the step", sale(*pots, step=5, paid=(pay("cash", 2_002), pay("card")))
    yield "three ways", sale(*pots, paid=(pay("other", 500), pay("card", 1_000), pay("cash")))
    yield "two cards", sale(*pots, paid=(pay("card", 2_600), pay("card")))
    yield "a rest of nothing", sale(*pots, paid=(pay("card", 5_203), pay("cash")))
    yield "rounded down to no cash", sale(item(2), step=5, paid=(pay("cash"),))
    yield "halfway up to the step", sale(item(1_005), step=10, paid=(pay("cash"),))


def _refusals() -> Iterator[tuple[str, Given]]:
    """Yield what is refused, each for one reason."""
    pot = item(3_400)
    yield "no pieces", sale(item(3_400, 0))
    yield "ten thousand pieces", sale(item(1, 10_000))
    yield "a price below zero", sale(item(3_400, 1, -1))
    yield "a price too large", sale(item(1_000_000_000_000))
    yield "a sum too large", sale(item(999_999_999_999), item(1))
    yield "a total too large with its tax", sale(item(999_999_999_999), tax=72_500)
    yield "a line discount above the line", sale(item(3_400, off=3_401))
    yield "a line discount below zero", sale(item(3_400, off=-1))
    yield "a discount of more than all", sale(item(3_400, ppm=1_000_001))
    yield "a sale discount above the sale", sale(pot, off=3_401)
    yield "paid too much by card", sale(pot, paid=(pay("card", 3_401),))
    yield "too little cash handed over", sale(pot, paid=(pay("cash", None, 3_399),))
    yield "two rests", sale(pot, paid=(pay("card"), pay("other")))
    yield "cash twice", sale(pot, paid=(pay("cash", 100), pay("cash")))
    yield "a payment below zero", sale(pot, paid=(pay("card", -1), pay("cash")))
    yield "change for a card", sale(pot, paid=(pay("card", None, 4_000),))
