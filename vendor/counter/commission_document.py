"""The commission document: what a device sends for each commission, and the one parser of it.

JSON, version 1. Every field is there unless marked *optional*, and no other; amounts are whole
minor units of the currency named, texts are one line. It is the only document that says who a
customer is: the device forgets it as soon as the server has answered.

    format            "wareboard.commission"
    version           1
    key               32 digits 0-9 a-f, random, made by the device: the commission's own for ever
    fair              the fair's number in the database, 1 or more
    taken_at          the device's clock, with its zone
    device            what the device calls itself, up to 40 letters
    currency          3 capital letters
    customer          name (1 to 120 letters), contact (a phone or an e-mail, up to 80 letters)
    piece             form and ware (codes; one of the two is empty), name (what the page called
                      it, 1 to 120 letters)
    choices           what was asked for in words, up to 200 letters
    note              what else was agreed, up to 200 letters
    due_on            a day like "2027-02-01", or null
    price             agreed, with any tax in it: 1 to 10^11
    deposit           null, or method ("cash", "card" or "other") and amount (1 up to the price)
    entered_later     *optional*: true where it was written on paper and entered later
    till              *optional*: the number of the cash box (1 to 20); else the first
    seller            *optional*: the number of the person who took it, 1 or more; without it, who
                      sends it

Knows nothing of the database.
"""

import datetime
import re
from dataclasses import dataclass

from vendor.counter.document import key_of, seller_in
from vendor.counter.fields import Malformed, fields, flag, moment, one_of, text, whole
from vendor.counter.figures import AT_HAND, Method
from vendor.counter.till import FIRST_TILL, MOST_TILLS
from vendor.ware.models import MAX_MONEY

FORMAT, VERSION = "wareboard.commission", 1
REQUIRED = frozenset(
    {"format", "version", "key", "fair", "taken_at", "device", "currency", "customer", "piece"}
    | {"choices", "note", "due_on", "price", "deposit"}
)
OPTIONAL = frozenset(["entered_later", "till", "seller"])
NOBODY = {"name": "", "contact": ""}
"""What stands for the customer once the server has them elsewhere."""


@dataclass(frozen=True, kw_only=True)
class DepositSeen:
    """Money taken in advance, as the seller took it (minor units)."""

    method: Method
    amount: int


@dataclass(frozen=True, kw_only=True)
class CommissionDocument:
    """A commission as a device sent it, every field checked for its shape alone."""

    key: str
    fair: int
    taken_at: datetime.datetime
    device: str
    currency: str
    name: str
    contact: str
    form: str
    ware: str
    piece: str
    choices: str
    note: str
    due_on: datetime.date | None
    price: int
    deposit: DepositSeen | None
    entered_later: bool
    till: int
    seller: int | str


def parse(raw: object) -> CommissionDocument:
    """Return the commission of one JSON value; raises `Malformed` for anything but a proper one."""
    given = fields(raw, "commission", REQUIRED, OPTIONAL)
    one_of(given["format"], "format", [FORMAT])
    whole(given["version"], "version", VERSION, VERSION)
    customer = fields(given["customer"], "customer", frozenset(["name", "contact"]))
    form, ware, piece = _piece(given["piece"])
    price = whole(given["price"], "price", 1, MAX_MONEY)
    return CommissionDocument(
        key=key_of(raw),
        fair=whole(given["fair"], "fair", 1, 2**31 - 1),
        taken_at=moment(given["taken_at"], "taken_at"),
        device=text(given["device"], "device", 40),
        currency=_currency(given["currency"]),
        name=text(customer["name"], "customer.name", 120, least=1),
        contact=text(customer["contact"], "customer.contact", 80),
        form=form,
        ware=ware,
        piece=piece,
        choices=text(given["choices"], "choices", 200),
        note=text(given["note"], "note", 200),
        due_on=_day(given["due_on"]),
        price=price,
        deposit=_deposit(given["deposit"], price),
        entered_later=flag(given.get("entered_later", False), "entered_later"),
        till=whole(given.get("till", FIRST_TILL), "till", FIRST_TILL, MOST_TILLS),
        seller=seller_in(given),
    )


def _piece(raw: object) -> tuple[str, str, str]:
    given = fields(raw, "piece", frozenset(["form", "ware", "name"]))
    form, ware = text(given["form"], "piece.form", 4), text(given["ware"], "piece.ware", 12)
    if bool(form) == bool(ware):
        raise Malformed("piece", "should be either a form or a ware")
    return form, ware, text(given["name"], "piece.name", 120, least=1)


def _deposit(raw: object, price: int) -> DepositSeen | None:
    if raw is None:
        return None
    given = fields(raw, "deposit", frozenset(["method", "amount"]))
    return DepositSeen(
        method=Method(one_of(given["method"], "deposit.method", list(AT_HAND))),
        amount=whole(given["amount"], "deposit.amount", 1, price),
    )


def _currency(raw: object) -> str:
    if not isinstance(raw, str) or not re.fullmatch("[A-Z]{3}", raw):
        raise Malformed("currency", "should be three capital letters")
    return raw


def _day(raw: object) -> datetime.date | None:
    if raw is None:
        return None
    if not isinstance(raw, str) or not re.fullmatch(r"20[0-9]{2}-[0-9]{2}-[0-9]{2}", raw):
        raise Malformed("due_on", "should be a day like 2027-02-01, or null")
    try:
        return datetime.date.fromisoformat(raw)
    except ValueError:
        raise Malformed("due_on", "should be a day of the calendar, or null") from None
