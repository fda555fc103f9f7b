"""The file of reckonings that holds the server and the page at the stall to one result."""

import json
from typing import Any

import pytest

from tests.counter.make_reckonings import PATH, as_text
from tests.counter.told_reckonings import CANADA, OPENSTAX, PARADISE_VALLEY, SSUTA, SWEDEN

CASES: list[dict[str, Any]] = json.loads(PATH.read_text(encoding="utf-8"))["cases"]


def _from(source: str) -> dict[str, dict[str, Any]]:
    """Return the figures of the cases with a source, by name."""
    return {case["name"]: case["figures"] for case in CASES if case.get("source") == source}


def test_the_file_is_what_the_server_reckons_today() -> None:
    """Mend it with `python -m tests.counter.make_reckonings`, and read the difference first."""
    assert PATH.read_text(encoding="utf-8") == as_text()


def test_the_file_tells_each_case_once_and_enough_of_them() -> None:
    """Every way of rounding, paying and refusing is among them."""
    names = [case["name"] for case in CASES]
    assert len(set(names)) == len(names) >= 150
    assert {case["refused"] for case in CASES if "refused" in case} == {
        "AmountOutOfRange",
        "DiscountOutOfRange",
        "Overpaid",
        "PaymentUnclear",
        "QuantityOutOfRange",
        "TooLittleTendered",
    }


@pytest.mark.parametrize(
    ("name", "tax"),
    [
        ("5000 taxed at 82500 ppm", 413),
        ("100 taxed at 45000 ppm", 5),
        ("300 taxed at 55000 ppm", 17),
        ("250 taxed at 50000 ppm", 13),
        ("10 taxed at 50000 ppm", 1),
        ("20 taxed at 72500 ppm", 1),
        ("1250 taxed at 60000 ppm", 75),
        ("three at 0.47, 7 % by line", 9),
        ("three at 0.47, 7 % by receipt", 10),
    ],
)
def test_added_tax_is_rounded_as_the_agreement_says(name: str, tax: int) -> None:
    """SSUTA §324 (N.D. Century Code 57-39.4-25); the figures are worked out from it."""
    assert _from(SSUTA)[name]["tax"] == tax


def test_included_tax_is_factored_out_as_published() -> None:
    """Town of Paradise Valley AZ: 100.00 at 9.68 % is 91.17 and 8.83."""
    figures = _from(PARADISE_VALLEY)["100 holds 9.68 %"]
    assert (figures["net"], figures["tax"], figures["total"]) == (9_117, 883, 10_000)


def test_a_textbook_sale_comes_to_what_is_printed() -> None:
    """OpenStax Principles of Financial Accounting, chapter 12: shoes of 50 at 8 % cost 54."""
    assert _from(OPENSTAX)["shoes of 50 at 8 %"]["total"] == 5_400


def test_cash_is_rounded_after_tax_and_card_is_not() -> None:
    """Government of Canada, 2012: (1.83 + 2.86) × 1.05 = 4.92, in cash 4.90."""
    coffee = _from(CANADA)
    cash, card = (coffee[f"(1.83 + 2.86) at 5 % by {method}"] for method in ("cash", "card"))
    assert (cash["total"], cash["received"], cash["cash_rounding"]) == (492, 490, -2)
    assert (card["total"], card["received"], card["cash_rounding"]) == (492, 492, 0)


@pytest.mark.parametrize(
    ("cents", "received"),
    [
        (101, 100),
        (102, 100),
        (103, 105),
        (104, 105),
        (106, 105),
        (107, 105),
        (108, 110),
        (109, 110),
    ],
)
def test_every_cent_is_rounded_by_the_published_table(cents: int, received: int) -> None:
    """Government of Canada, 2012, the table of cents."""
    assert _from(CANADA)[f"{cents} cents in cash"]["received"] == received


def test_half_a_krona_was_the_smallest_cash() -> None:
    """“Swedish rounding”, Wikipedia: 223.20, 65.40, and 324.88 by card unrounded."""
    received = {name: figures["received"] for name, figures in _from(SWEDEN).items()}
    assert received == {
        "22320 öre in cash": 22_300,
        "6540 öre in cash": 6_550,
        "32488 öre by card": 32_488,
    }
