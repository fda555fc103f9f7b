"""The sale document's parser: every field, its type and its bounds, whatever comes in."""

import contextlib
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.counter.document import parse
from vendor.counter.fields import Malformed
from vendor.counter.figures import Discount, Method


def proper() -> dict[str, Any]:
    """Return a document with every field filled."""
    return {
        "format": "wareboard.sale",
        "version": 1,
        "key": "0123456789abcdef" * 2,
        "fair": 1,
        "sold_at": "2026-12-05T16:20:31.123Z",
        "device": "Tansy's phone",
        "terms": {
            "currency": "USD",
            "tax_rate_ppm": 72500,
            "tax_included": False,
            "tax_rounding": "receipt",
            "cash_step": 1,
        },
        "lines": [
            {
                "ware": "TUM-CEL",
                "grade": "first",
                "name": "Tumbler, celadon",
                "quantity": 2,
                "list_price": 3400,
                "unit_price": 3000,
                "discount": {"amount": 0, "rate_ppm": 100000},
                "reason": "A hairline in the glaze",
            }
        ],
        "discount": {"amount": 100, "rate_ppm": 0},
        "discount_reason": "Rainy day",
        "payments": [{"method": "cash", "settles": 5685, "tip": 0, "tendered": 6000}],
        "figures": {
            "discount": 700,
            "net": 5300,
            "tax": 384,
            "total": 5684,
            "cash_rounding": 0,
            "change": 316,
        },
        "note": "",
        "overridden": [3],
        "not_the_held": True,
        "seller": "",
    }


def test_a_proper_document_is_read_to_the_last_field() -> None:
    """Nothing that the seller entered is read past."""
    document = parse(proper())
    line, payment = document.lines[0], document.payments[0]
    assert (line.ware, line.quantity, line.unit_price) == ("TUM-CEL", 2, 3000)
    assert line.discount == Discount(rate_ppm=100000)
    assert (payment.method, payment.tendered, document.figures.change) == (Method.CASH, 6000, 316)
    assert (document.overridden, document.not_the_held) == ((3,), True)
    assert document.sold_at.isoformat() == "2026-12-05T16:20:31.123000+00:00"


def test_what_is_optional_may_be_left_out() -> None:
    """A plain sale says nothing of holds."""
    document = proper()
    for name in ("overridden", "not_the_held", "seller"):
        del document[name]
    parsed = parse(document)
    assert (parsed.overridden, parsed.not_the_held, parsed.seller) == ((), False, "")


LINE = ("lines", 0)
PAYMENT = ("payments", 0)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format",), "wareboard.undo"),
        (("version",), 2),
        (("version",), True),
        (("key",), "0123"),
        (("key",), "0123456789ABCDEF" * 2),
        (("key",), None),
        (("fair",), 0),
        (("fair",), 2**31),
        (("fair",), "1"),
        (("sold_at",), "2026-12-05T16:20:31"),
        (("sold_at",), "yesterday"),
        (("sold_at",), "2026-12-05\x0016:20:31Z"),
        (("sold_at",), "2026-12-05\ud80016:20:31Z"),
        (("sold_at",), "0001-01-01T00:00:00+23:59"),
        (("sold_at",), "9999-12-31T23:59:59-23:59"),
        (("sold_at",), 1_800_000_000),
        (("device",), "x" * 41),
        (("terms", "currency"), "usd"),
        (("terms", "tax_rate_ppm"), 1_000_001),
        (("terms", "tax_rate_ppm"), -1),
        (("terms", "tax_rate_ppm"), 72500.0),
        (("terms", "tax_included"), 0),
        (("terms", "tax_rounding"), "never"),
        (("terms", "tax_rounding"), ["line"]),
        (("terms", "cash_step"), 0),
        (("lines",), []),
        (("lines",), {}),
        ((*LINE, "ware"), ""),
        ((*LINE, "ware"), "X" * 13),
        ((*LINE, "grade"), "third"),
        ((*LINE, "name"), "   "),
        ((*LINE, "quantity"), 0),
        ((*LINE, "quantity"), -1),
        ((*LINE, "quantity"), 1000),
        ((*LINE, "quantity"), 1.0),
        ((*LINE, "quantity"), True),
        ((*LINE, "quantity"), "2"),
        ((*LINE, "list_price"), -3400),
        ((*LINE, "list_price"), 10**11 + 1),
        ((*LINE, "list_price"), 10**400),
        ((*LINE, "unit_price"), -1),
        ((*LINE, "reason"), ""),
        ((*LINE, "discount"), {"amount": -1, "rate_ppm": 0}),
        ((*LINE, "discount"), {"amount": 0, "rate_ppm": 1_000_001}),
        ((*LINE, "discount"), None),
        (("payments",), "cash"),
        ((*PAYMENT, "method"), "cheque"),
        ((*PAYMENT, "settles"), -1),
        ((*PAYMENT, "settles"), 10**12),
        ((*PAYMENT, "tip"), -1),
        ((*PAYMENT, "tendered"), -1),
        (("figures", "total"), -1),
        (("figures", "cash_rounding"), 100_001),
        (("note",), "two\nlines"),
        (("note",), "nothing\x00"),
        (("note",), "half a pair \ud83c"),
        (("note",), "x" * 201),
        (("overridden",), [0]),
        (("overridden",), [1.5]),
        (("not_the_held",), None),
    ],
)
def test_a_field_out_of_bounds_is_named(path: tuple[str | int, ...], value: object) -> None:
    """Negative, huge, of another type, of another letter case: refused with the field's name."""
    document: Any = proper()
    spot = document
    for step in path[:-1]:
        spot = spot[step]
    spot[path[-1]] = value
    with pytest.raises(Malformed) as refusal:
        parse(document)
    assert str(path[0]) in refusal.value.field


def test_cash_once_and_cash_alone_is_handed_over() -> None:
    """Two cash payments are one, and a card gets no change."""
    document = proper()
    document["payments"] *= 2
    with pytest.raises(Malformed, match="cash at most once"):
        parse(document)
    document["payments"] = [document["payments"][0] | {"method": "card"}]
    with pytest.raises(Malformed, match="anything but cash"):
        parse(document)


def test_a_field_too_many_is_refused_rather_than_lost() -> None:
    """A page that knows more than this server must not be half understood."""
    with pytest.raises(Malformed, match="should not have"):
        parse(proper() | {"bundle": 1})
    document = proper()
    document["lines"][0]["colour"] = "blue"
    with pytest.raises(Malformed, match=r"lines\[0\]"):
        parse(document)


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=12,
)


@given(anything)
def test_anything_at_all_is_malformed_and_never_a_fault(value: object) -> None:
    """Whatever comes in, the parser answers with the field."""
    with pytest.raises(Malformed):
        parse(value)


@given(st.data())
def test_a_document_with_one_odd_field_is_read_or_refused(data: st.DataObject) -> None:
    """Any value in any place: either it is within bounds, or the field is named."""
    document: Any = proper()
    spot, step = document, data.draw(st.sampled_from(sorted(document)))
    while isinstance(spot[step], dict | list) and data.draw(st.booleans()):
        spot = spot[step]
        step = data.draw(st.sampled_from(sorted(spot) if isinstance(spot, dict) else [0]))
    spot[step] = data.draw(anything)
    with contextlib.suppress(Malformed):
        assert parse(document).key == document["key"]
        json.dumps(document).encode()
