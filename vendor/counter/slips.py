"""The slip of a deposit in words: for the screen, a PDF, or a text to share."""

from collections.abc import Iterator
from dataclasses import dataclass

from vendor.counter.models import Deposit
from vendor.counter.receipts import WIDTH, row
from vendor.counter.ways import IN_WORDS
from vendor.house import written
from vendor.house.models import Studio
from vendor.house.paper import Block, Column, Sheet

NO_SALE = "A deposit is no sale yet: the receipt comes with the piece."


@dataclass(frozen=True, slots=True)
class Slip:
    """Everything on a slip, in words; `rows` are what it says and its amount or words."""

    title: str
    studio: str
    fair: str
    when: str
    rows: tuple[tuple[str, str], ...]
    close: str


def slip_of(deposit: Deposit, *, studio: Studio) -> Slip:
    """Return a deposit as a slip, as its commission stands now (the promise at hand: none)."""
    return Slip(
        title=f"{deposit.get_kind_display()} {deposit.number}",
        studio=studio.name,
        fair=deposit.fair.name,
        when=written.moment(deposit.happened_at, studio),
        rows=tuple(_rows(deposit, studio)),
        close=NO_SALE if deposit.kind == Deposit.Kind.TAKEN else deposit.reason,
    )


def as_text(slip: Slip) -> str:
    """Return a slip as plain text, for a message."""
    head = [slip.studio, slip.fair, slip.when, slip.title, "-" * WIDTH]
    return "\n".join([*head, *(row(*each) for each in slip.rows), "-" * WIDTH, slip.close]) + "\n"


def as_sheet(slip: Slip) -> Sheet:
    """Return a slip as a sheet to print."""
    columns = [Column("What", 5), Column("", 3, number=True)]
    return Sheet(
        title=slip.title,
        about=[slip.studio, slip.fair, slip.when],
        blocks=[Block("", columns, [list(each) for each in slip.rows])],
        close=[slip.close],
    )


def _rows(deposit: Deposit, studio: Studio) -> Iterator[tuple[str, str]]:
    promise = deposit.commitment
    way = f" {IN_WORDS[deposit.method]}" if deposit.method else ""
    yield f"{promise}: {promise.piece_name}", ""
    if promise.choices:
        yield promise.choices, ""
    if promise.due_on:
        yield "Due by", written.day(promise.due_on, studio)
    yield "Agreed price, with any tax", written.money(promise.price or 0, studio)
    yield f"{deposit.get_kind_display()}{way}", written.money(deposit.amount, studio)
    if deposit.kind == Deposit.Kind.TAKEN and promise.is_open:
        yield "To pay when it is handed over", written.money(promise.to_pay, studio)
