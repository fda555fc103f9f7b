"""The sale document: what a device sends for each sale, and the one parser of it.

JSON, version 1. Every field is there unless marked *optional*; a field that is not listed here
is refused, so that nothing a seller entered is ever read past. Amounts are whole minor units of
the currency named, rates are parts per million, counts are whole pieces, texts are one line of
any letters without control characters.

    format            "wareboard.sale"
    version           1
    key               32 digits 0-9 a-f, random, made by the device: the sale's own for ever
    fair              the fair's number in the database, 1 or more
    sold_at           the device's clock, with its zone: "2026-12-05T16:20:31.123Z"
    device            what the device calls itself, up to 40 letters
    terms             currency (3 capital letters), tax_rate_ppm (0 to 1 000 000), tax_included,
                      tax_rounding ("line" or "receipt"), cash_step (1 to 100 000)
    lines             1 to 100, each:
      ware            the code on the tag
      grade           "first" or "second"
      name            what the page called it, 1 to 120 letters
      quantity        1 to 999
      list_price      a piece, as on the tag: 0 to 10^11
      unit_price      a piece, as asked for; null: the list price
      discount        {"amount": …, "rate_ppm": …} on the whole line
      reason          why it is not the list price or has a discount, up to 120 letters;
                      needed with a unit_price
    discount          {"amount": …, "rate_ppm": …} on the whole sale
    discount_reason   up to 120 letters
    payments          0 to 5 (none only where nothing is due), each:
      method          "cash", "card" or "other"; at most one is cash
      settles         which part of the total it pays: 0 to 10^12 - 1
      tip             paid on top of it
      tendered        cash handed over, null for just what is due
    figures           what the page showed: discount, net, tax, total, cash_rounding
                      (-100 000 to 100 000), change
    note              up to 200 letters
    overridden        *optional*: up to 20 numbers of holds that the seller chose to end
    not_the_held      *optional*: true where the seller said that no piece is a held one
    entered_later     *optional*: true where the sale was written on paper and entered later:
                      `sold_at` is then no device's clock
    till              *optional*: the number of the cash box (1 to 20); else the first
    seller            *optional*: the number of the person who sold it, 1 or more (devices of an
                      earlier edition gave text, up to 200 letters); without it, who sends it

Knows nothing of the database: whether the ware exists, the price holds and the figures add up is
for `vendor.counter.intake` to find out.
"""

import datetime
import re
from collections.abc import Mapping
from dataclasses import dataclass

from vendor.counter.fields import Malformed, fields, flag, moment, one_of, several, text, whole
from vendor.counter.figures import AT_HAND, Discount, Method, Terms
from vendor.counter.till import FIRST_TILL, MOST_TILLS
from vendor.house.money import MAX_MINOR, MILLION
from vendor.house.tax import TaxRounding
from vendor.ware.models import MAX_MONEY, Grade

FORMAT, VERSION = "wareboard.sale", 1
KEY = re.compile(r"[0-9a-f]{32}")
MAX_LINES, MAX_PAYMENTS, MAX_OVERRIDDEN = 100, 5, 20
MAX_QUANTITY = 999
MAX_CASH_STEP = 100_000


@dataclass(frozen=True, kw_only=True)
class LineSeen:
    """One line, as the seller saw it."""

    ware: str
    grade: str
    name: str
    quantity: int
    list_price: int
    unit_price: int | None
    discount: Discount
    reason: str


@dataclass(frozen=True, kw_only=True)
class PaymentSeen:
    """One payment, as the seller took it."""

    method: Method
    settles: int
    tip: int
    tendered: int | None


@dataclass(frozen=True, kw_only=True)
class FiguresSeen:
    """The sums that stood on the page."""

    discount: int
    net: int
    tax: int
    total: int
    cash_rounding: int
    change: int


@dataclass(frozen=True, kw_only=True)
class SaleDocument:
    """A sale as a device sent it, every field checked for its shape and none against the books."""

    key: str
    fair: int
    sold_at: datetime.datetime
    device: str
    currency: str
    terms: Terms
    lines: tuple[LineSeen, ...]
    discount: Discount
    discount_reason: str
    payments: tuple[PaymentSeen, ...]
    figures: FiguresSeen
    note: str
    overridden: tuple[int, ...]
    not_the_held: bool
    entered_later: bool
    seller: int | str
    till: int


def parse(raw: object) -> SaleDocument:
    """Return the sale of one JSON value; raises `Malformed` for anything but a proper document."""
    given = fields(raw, "sale", REQUIRED, OPTIONAL)
    one_of(given["format"], "format", [FORMAT])
    whole(given["version"], "version", VERSION, VERSION)
    currency, terms = _terms(given["terms"])
    document = SaleDocument(
        key=key_of(raw),
        fair=whole(given["fair"], "fair", 1, 2**31 - 1),
        sold_at=moment(given["sold_at"], "sold_at"),
        device=text(given["device"], "device", 40),
        currency=currency,
        terms=terms,
        lines=tuple(several(given["lines"], "lines", 1, MAX_LINES, _line)),
        discount=_discount(given["discount"], "discount"),
        discount_reason=text(given["discount_reason"], "discount_reason", 120),
        payments=tuple(several(given["payments"], "payments", 0, MAX_PAYMENTS, _payment)),
        figures=_figures(given["figures"]),
        note=text(given["note"], "note", 200),
        overridden=tuple(
            several(given.get("overridden", []), "overridden", 0, MAX_OVERRIDDEN, _number)
        ),
        not_the_held=flag(given.get("not_the_held", False), "not_the_held"),
        entered_later=flag(given.get("entered_later", False), "entered_later"),
        till=whole(given.get("till", FIRST_TILL), "till", FIRST_TILL, MOST_TILLS),
        seller=seller_in(given),
    )
    if sum(payment.method is Method.CASH for payment in document.payments) > 1:
        raise Malformed("payments", "should have cash at most once")
    return document


def seller_in(given: Mapping[str, object]) -> int | str:
    """Return whom a document's fields name as its seller: a number, text of before, or nothing."""
    said = given.get("seller", "")
    return text(said, "seller", 200) if isinstance(said, str) else _number(said, "seller")


def key_of(raw: object) -> str:
    """Return the key of what may be a document; `Malformed` where it has none."""
    key = raw.get("key") if isinstance(raw, dict) else None
    if not isinstance(key, str) or not KEY.fullmatch(key):
        raise Malformed("key", "should be 32 digits 0-9 a-f")
    return key


REQUIRED = frozenset(
    {"format", "version", "key", "fair", "sold_at", "device", "terms", "lines", "discount"}
    | {"discount_reason", "payments", "figures", "note"}
)
OPTIONAL = frozenset(["overridden", "not_the_held", "entered_later", "seller", "till"])
_TERMS = frozenset(["currency", "tax_rate_ppm", "tax_included", "tax_rounding", "cash_step"])
_LINE = frozenset(
    ["ware", "grade", "name", "quantity", "list_price", "unit_price", "discount", "reason"]
)
_PAYMENT = frozenset(["method", "settles", "tip", "tendered"])
_FIGURES = frozenset(["discount", "net", "tax", "total", "cash_rounding", "change"])
_DISCOUNT = frozenset(["amount", "rate_ppm"])


def _terms(raw: object) -> tuple[str, Terms]:
    given = fields(raw, "terms", _TERMS)
    currency = given["currency"]
    if not isinstance(currency, str) or not re.fullmatch("[A-Z]{3}", currency):
        raise Malformed("terms.currency", "should be three capital letters")
    return currency, Terms(
        tax_rate_ppm=whole(given["tax_rate_ppm"], "terms.tax_rate_ppm", 0, MILLION),
        tax_included=flag(given["tax_included"], "terms.tax_included"),
        tax_rounding=TaxRounding(
            one_of(given["tax_rounding"], "terms.tax_rounding", list(TaxRounding))
        ),
        cash_step=whole(given["cash_step"], "terms.cash_step", 1, MAX_CASH_STEP),
    )


def _line(raw: object, at: str) -> LineSeen:
    given = fields(raw, at, _LINE)
    unit_price = given["unit_price"]
    line = LineSeen(
        ware=text(given["ware"], f"{at}.ware", 12, least=1),
        grade=one_of(given["grade"], f"{at}.grade", list(Grade.values)),
        name=text(given["name"], f"{at}.name", 120, least=1),
        quantity=whole(given["quantity"], f"{at}.quantity", 1, MAX_QUANTITY),
        list_price=whole(given["list_price"], f"{at}.list_price", 0, MAX_MONEY),
        unit_price=None
        if unit_price is None
        else whole(unit_price, f"{at}.unit_price", 0, MAX_MONEY),
        discount=_discount(given["discount"], f"{at}.discount"),
        reason=text(given["reason"], f"{at}.reason", 120),
    )
    if line.unit_price is not None and not line.reason:
        raise Malformed(f"{at}.reason", "should say why the price is not that of the list")
    return line


def _discount(raw: object, at: str) -> Discount:
    given = fields(raw, at, _DISCOUNT)
    return Discount(
        amount=whole(given["amount"], f"{at}.amount", 0, MAX_MINOR),
        rate_ppm=whole(given["rate_ppm"], f"{at}.rate_ppm", 0, MILLION),
    )


def _payment(raw: object, at: str) -> PaymentSeen:
    given = fields(raw, at, _PAYMENT)
    method = Method(one_of(given["method"], f"{at}.method", list(AT_HAND)))
    tendered = given["tendered"]
    if tendered is not None:
        if method is not Method.CASH:
            raise Malformed(f"{at}.tendered", "should be null for anything but cash")
        tendered = whole(tendered, f"{at}.tendered", 0, MAX_MINOR)
    return PaymentSeen(
        method=method,
        settles=whole(given["settles"], f"{at}.settles", 0, MAX_MINOR),
        tip=whole(given["tip"], f"{at}.tip", 0, MAX_MONEY),
        tendered=tendered,
    )


def _figures(raw: object) -> FiguresSeen:
    given = fields(raw, "figures", _FIGURES)
    sums = {
        name: whole(given[name], f"figures.{name}", 0, MAX_MINOR)
        for name in _FIGURES - {"cash_rounding"}
    }
    rounding = whole(given["cash_rounding"], "figures.cash_rounding", -MAX_CASH_STEP, MAX_CASH_STEP)
    return FiguresSeen(cash_rounding=rounding, **sums)


def _number(raw: object, at: str) -> int:
    return whole(raw, at, 1, 2**31 - 1)
