"""A closed weekend's statement on paper: pots, money, every difference with its reason."""

from typing import Any

from vendor.closing.amendments import Amended, amended, entered_in
from vendor.closing.models import Closing
from vendor.closing.pages import ENDS, HOME, POTS, Statement
from vendor.house.models import Studio
from vendor.house.money import format_rate
from vendor.house.paper import Block, Column, Sheet
from vendor.house.paper import draw as draw_sheet
from vendor.house.written import major, moment, money


def draw(page: Statement, *, studio: Studio) -> bytes:
    """Return the statement as a PDF."""
    return draw_sheet(as_sheet(page, studio), studio=studio)


def as_sheet(page: Statement, studio: Studio) -> Sheet:
    """Return the statement in words; columns in which nothing happened are left out."""
    closing = page.closing
    return Sheet(
        title=f"Statement {closing.number}: {closing.title}",
        about=(
            f"{closing.weekend.span}.",
            f"Closed {moment(closing.made_at, studio)} by {closing.made_by}.",
        ),
        blocks=[
            _pots(page),
            *_reasons(page),
            _money(page, studio),
            *_tills(page, studio),
            *_cards(page, studio),
        ],
        close=(
            f"Shrinkage: {format_rate(page.shrinkage_ppm, studio.language)} of what was expected.",
            *(
                f"Amended {moment(each.made.made_at, studio)} by {each.made.made_by}: {_said(each)}"
                for each in amended(closing, studio)
            ),
            *(
                f"Entered here, corrects statement {each.made.closing.number}: {_said(each)}"
                for each in entered_in(closing.weekend, studio, after=closing.after)
            ),
            "",
            "Signed: ______________________________",
        ),
    )


def _said(each: Amended) -> str:
    return f"{each.made.reason} ({each.words})" if each.words else each.made.reason


def _pots(page: Statement) -> Block:
    return Block(
        "Pots",
        [Column("Ware", 4), *[Column(head, 1.3, number=True) for head in page.heads]],
        [[name, *cells] for name, cells in page.table],
        ["Together", *page.foot] if page.lines else (),
    )


def _reasons(page: Statement) -> list[Block]:
    rows = [
        (name, differs, str(found), f"{why} ({who})" if who else why)
        for name, differs, found, why, who in page.differences
    ]
    columns = (
        Column("Ware", 3),
        Column("Differs", 0.9, number=True),
        Column("Found", 0.9, number=True),
        Column("Why", 5),
    )
    return [Block("Differences", columns, rows)] if rows else []


def _money(page: Statement, studio: Studio) -> Block:
    closing = page.closing
    rows = [
        ("Float", closing.cash_float),
        ("Cash sales", closing.cash_sales),
        ("Cash tips", closing.cash_tips),
        ("Cash refunds", -closing.cash_refunds),
        ("Paid in", closing.paid_in),
        ("Paid out", -closing.paid_out),
        *_deposits(closing),
        ("Expected in the till", closing.cash_expected),
        ("Counted", closing.cash_counted),
        (f"Over or short: {closing.cash_reason}".rstrip(": "), closing.over_short),
        *([("Taken out after the count", closing.taken_out)] if closing.taken_out else []),
        *_carried(closing),
        ("Cards, tips, refunds and deposits counted in", page.card_total),
        *_charged(closing),
        ("Other ways of paying", page.other_total),
    ]
    columns = (Column("Money", 6), Column("Amount", 2, number=True))
    return Block("Money", columns, [(words, money(amount, studio)) for words, amount in rows])


def _deposits(closing: Closing) -> list[tuple[str, int]]:
    """Say which deposits on commissions came and went in cash, where there were any."""
    told = [
        ("Deposits on commissions", closing.cash_deposits),
        ("Deposits paid back", -closing.cash_deposits_back),
    ]
    return [each for each in told if each[1]]


def _carried(closing: Closing) -> list[tuple[str, int]]:
    """Say what the statement before had left, where the floats were something else."""
    if not closing.carried or closing.cash_before is None:
        return []
    why = f" (in between: {closing.carried_reason})" if closing.carried_reason else ""
    return [(f"Left in the till by the statement before{why}", closing.cash_before)]


def _tills(page: Statement, studio: Studio) -> list[Block]:
    """Return each count of each cash box, where there was more than one."""
    if not page.tills:
        return []
    heads = ("Began", "Came", "Went", "Expected", "Counted", "Over/short", "Taken out")
    rows = [
        [
            f"{each.label}{f': {each.reason}' if each.reason else ''}",
            *(
                money(amount, studio)
                for amount in (
                    each.began, each.came, each.went, each.expected, each.counted,
                    each.over_short, each.taken_out,
                )
            ),
        ]
        for each in page.tills
    ]  # fmt: skip
    columns = [Column("Count", 3), *[Column(head, 1.4, number=True) for head in heads]]
    return [Block("Each count", columns, rows)]


def _charged(closing: Closing) -> list[tuple[str, int]]:
    """Say what the card statements came to, where they were compared."""
    if closing.card_charged is None:
        return []
    rows = [("Charged by the card statements", closing.card_charged)]
    return [*rows, ("Fees kept of it", closing.card_fees)] if closing.card_fees else rows


def _cards(page: Statement, studio: Studio) -> list[Block]:
    """Return the card sales and lines that had no partner, each with its reason."""
    rows = [
        (
            each.what,
            "a sale without a line" if each.is_sale else "a line without a sale",
            money(each.amount, studio),
            each.reason,
        )
        for each in page.cards
    ]
    columns = (
        Column("What", 3),
        Column("Which", 2),
        Column("Amount", 1.3, number=True),
        Column("Why", 4),
    )
    return [Block("Cards without a partner", columns, rows)] if rows else []


def as_rows(page: Statement, studio: Studio) -> tuple[list[str], list[list[Any]]]:
    """Return the pots of a statement for a spreadsheet, every column with its numbers."""
    columns = [*POTS, *ENDS, *HOME]
    head = ["Ware", "Code", *[head for _, head in columns], f"Price ({studio.currency})", "Why"]
    rows = [
        [
            line.name,
            line.ware.code,
            *[getattr(line, name) for name, _ in columns],
            None if line.price is None else major(line.price, studio),
            line.reason,
        ]
        for line in page.lines
    ]
    return head, rows
