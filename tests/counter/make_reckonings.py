"""Makes `fixtures/reckonings.json`, which holds the server and the page at the stall to one result.

    python -m tests.counter.make_reckonings

writes the file anew from the server's own reckoning; a test fails while the file is not what
this module makes. The page's JavaScript is run over the very same file.

The file is one object with a list `cases`. A case has

- `name`, and `source` where a published figure stands behind it;
- `given`: `terms` {tax_rate_ppm, tax_included, tax_rounding: "line" | "receipt", cash_step},
  `items` [{list_price, quantity, unit_price: null = list price, discount}],
  `discount` (of the whole sale), and
  `payments` [{method: "cash" | "card" | "other", amount: null = the rest,
  tendered: null = what is due}];
  a discount is {amount, rate_ppm}, zero and zero for none;
- either `figures`, everything that `vendor.counter.figures.Reckoning` holds under the same names,
  or `refused`, the name of the refusal's class.

All amounts are minor units, all rates parts per million, all numbers whole and below 2^53. The
products on the way are not: JavaScript needs BigInt for them.
"""

import dataclasses
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.counter.told_reckonings import told
from vendor.counter.amounts import reckon
from vendor.counter.figures import Discount, Item, Method, Reckoning, Tender, Terms
from vendor.house.errors import Refused
from vendor.house.tax import TaxRounding

PATH = Path(__file__).resolve().parents[2] / "fixtures" / "reckonings.json"
DRAWN = 110

Given = dict[str, Any]
Case = dict[str, Any]


def reckoned(given: Given) -> Reckoning:
    """Return the server's figures for what a case gives."""
    terms = given["terms"]
    return reckon(
        [Item(**{**item, "discount": Discount(**item["discount"])}) for item in given["items"]],
        Terms(**{**terms, "tax_rounding": TaxRounding(terms["tax_rounding"])}),
        discount=Discount(**given["discount"]),
        payments=[
            Tender(**{**payment, "method": Method(payment["method"])})
            for payment in given["payments"]
        ],
    )


def cases() -> list[Case]:
    """Return all cases, those told by hand first, each with its figures or its refusal."""
    return [_answered(case) for case in (*told(), *drawn(DRAWN))]


def as_text() -> str:
    """Return the file's text: one case to a line, so that a change shows as its lines."""
    lines = ",\n".join(json.dumps(case, ensure_ascii=False) for case in cases())
    return f'{{"cases": [\n{lines}\n]}}\n'


def drawn(number: int) -> Iterator[Case]:
    """Yield cases with drawn numbers, always the same ones."""
    dice = random.Random(324)
    for index in range(number):
        yield {"name": f"drawn {index + 1}", "given": _drawn_sale(dice)}


def _answered(case: Case) -> Case:
    """Return a case with what the server makes of it."""
    try:
        return {**case, "figures": dataclasses.asdict(reckoned(case["given"]))}
    except Refused as refusal:
        return {**case, "refused": type(refusal).__name__}


def _drawn_sale(dice: random.Random) -> Given:
    """Return one drawn sale: its terms, its lines, its discount, its payments."""
    given: Given = {
        "terms": {
            "tax_rate_ppm": dice.choice([0, 45_000, 55_000, 72_500, 82_500, 96_800, 190_000]),
            "tax_included": dice.random() < 0.4,
            "tax_rounding": dice.choice(["line", "receipt"]),
            "cash_step": dice.choice([1, 1, 5, 10, 50, 100]),
        },
        "items": [_drawn_item(dice) for _ in range(dice.randint(1, 7))],
        "discount": {"amount": 0, "rate_ppm": dice.choice([0, 0, 50_000, 100_000, 333_333])},
        "payments": [],
    }
    if dice.random() < 0.2:
        least = reckoned({**given, "discount": {"amount": 0, "rate_ppm": 0}})
        asked = least.price_total - least.line_discount
        given["discount"] = {"amount": dice.randint(0, asked), "rate_ppm": 0}
    given["payments"] = _drawn_payments(dice, reckoned(given))
    return given


def _drawn_item(dice: random.Random) -> Given:
    """Return one drawn line: mostly a piece or two at whole units, now and then anything."""
    price = dice.choice([dice.randint(1, 90) * 100, dice.randint(1, 9_999)])
    quantity = dice.choice([1, 1, 1, 2, 3, 6, dice.randint(1, 40)])
    unit_price = dice.choice([None, None, None, dice.randint(0, price), price + 500])
    whole = quantity * (price if unit_price is None else unit_price)
    discount = {"amount": 0, "rate_ppm": 0}
    if dice.random() < 0.3:
        discount["rate_ppm"] = dice.choice([25_000, 100_000, 150_000, 500_000, 1_000_000])
    elif dice.random() < 0.2:
        discount["amount"] = dice.randint(0, whole)
    return {
        "list_price": price,
        "quantity": quantity,
        "unit_price": unit_price,
        "discount": discount,
    }


def _drawn_payments(dice: random.Random, sale: Reckoning) -> list[Given]:
    """Return a drawn way of paying a sale: not yet, card, cash, or split."""

    def payment(method: str, amount: int | None, tendered: int | None = None) -> Given:
        return {"method": method, "amount": amount, "tendered": tendered}

    part = dice.randint(0, sale.total)
    over = sale.left_in_cash + dice.choice([0, 1, 350, 2_000])
    return dice.choice(
        [
            [],
            [payment("card", None)],
            [payment("cash", None)],
            [payment("cash", None, over)],
            [payment("card", part), payment("cash", None)],
            [payment("cash", part), payment("card", None)],
            [payment("other", part), payment("cash", None, over)],
            [payment("card", part)],
        ]
    )


if __name__ == "__main__":
    PATH.parent.mkdir(exist_ok=True)
    PATH.write_text(as_text(), encoding="utf-8")
