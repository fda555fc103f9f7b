"""Rows of contributions as people export them: what is read, what is refused with a sentence."""

import datetime
import random
from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.cells import RowRejected
from vendor.house.money import Currency
from vendor.supporters.credit_values import Kind
from vendor.supporters.mapping import Columns, State, proposed, read_row

USD = Currency.of("USD")
COLUMNS = Columns(
    amount="Sum", name="Who", email="Mail", month="For", day="Date", status="How", reference="No",
    level="Level", refunded_on="Back",
)  # fmt: skip


def row(**more: str) -> Any:
    """Return what a row with these cells tells."""
    cells = {"Sum": "5.00", "Who": "Ines Quill", "Date": "2026-03-05", **more}
    return read_row(cells, COLUMNS, USD, "en_US")


def test_usual_heads_are_proposed() -> None:
    """The user still decides."""
    found = proposed(["Member", "Email", "Payment date", "Amount", "Status", "Payment ID"])
    assert (found.name, found.email, found.day) == ("Member", "Email", "Payment date")
    assert (found.amount, found.status, found.reference) == ("Amount", "Status", "Payment ID")
    assert Columns.from_json(asdict(found)) == found


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-03-05", "dmy", (2026, 3, 5)),
        ("5.3.2026", "dmy", (2026, 3, 5)),
        ("3/5/2026", "mdy", (2026, 3, 5)),
        ("03/05/26 14:20", "mdy", (2026, 3, 5)),
        ("2026-03-05T14:20:00Z", "ymd", (2026, 3, 5)),
        ("Mar 5, 2026", "ymd", (2026, 3, 5)),
        ("5 March 2026", "ymd", (2026, 3, 5)),
    ],
)
def test_days_are_read_in_the_order_that_was_chosen(
    text: str, order: str, day: tuple[int, int, int]
) -> None:
    """A year of four digits in front is always a year."""
    columns = Columns(amount="Sum", name="Who", day="Date", order=order)
    told = read_row({"Sum": "5", "Who": "I", "Date": text}, columns, USD, "en_US")
    assert told.on == datetime.date(*day)
    assert told.month == datetime.date(2026, 3, 1)


@pytest.mark.parametrize("text", ["2026-03", "03/2026", "March 2026", "Mar 2026", "2026-03-31"])
def test_months_are_read_however_they_are_written(text: str) -> None:
    """Any day of a month is the month."""
    assert row(For=text).month == datetime.date(2026, 3, 1)


def test_amounts_words_and_signs_say_what_became_of_a_payment() -> None:
    """Paid, failed, refunded on the payment, or a refund of its own."""
    assert (row().kind, row().amount, row().refunded_on) == (Kind.PAID, 500, None)
    assert row(How="Declined").kind is Kind.FAILED
    assert row(How="refunded").refunded_on == datetime.date(2026, 3, 5)
    assert row(Back="2026-04-01").refunded_on == datetime.date(2026, 4, 1)
    for negative in ("-5.00", "(5.00)", "−5", "'-5.00"):
        told = row(Sum=negative, How="refunded")
        assert (told.kind, told.amount, told.refunded_on) == (Kind.REFUND, 500, None)


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"Who": ""}, "neither a name nor"),
        ({"Date": ""}, "no month and no day"),
        ({"Date": "soon"}, "can't be read as a day"),
        ({"Date": "2026-02-30"}, "is no day"),
        ({"For": "2026-13"}, "can't be read as a month"),
        ({"For": "some time"}, "can't be read as a month"),
        ({"Sum": "a lot"}, "can't be read as an amount"),
        ({"Sum": "0.00"}, "zero"),
        ({"How": "maybe"}, "none of the words"),
    ],
)
def test_a_row_that_cannot_be_read_says_why(cells: dict[str, str], said: str) -> None:
    """In a sentence for the list of rejected rows."""
    with pytest.raises(RowRejected, match=said):
        row(**cells)


states = st.builds(
    State,
    st.sampled_from([Kind.PAID, Kind.FAILED]),
    st.dates(datetime.date(2026, 1, 1), datetime.date(2026, 12, 31)),
).flatmap(
    lambda state: (
        st.just(state)
        if state.kind is Kind.FAILED
        else st.just(state) | st.just(State(state.kind, state.on, state.on))
    )
)


@given(st.lists(states, min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_what_is_known_of_a_payment_is_the_same_in_any_order(
    told: list[State], shuffled: random.Random
) -> None:
    """Merging is a matter of the set of rows."""

    def together(rows: list[State]) -> State:
        known = rows[0]
        for each in rows[1:]:
            known = known.merged(each)
        return known

    other = list(told)
    shuffled.shuffle(other)
    assert together(told) == together(other) == together(told + told)
