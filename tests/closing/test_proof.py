"""Statements are held against the ledger."""

import json
from io import StringIO

import pytest
from django.core.management import call_command

from tests.closing.makers import MONDAY, NEXT_SATURDAY, NEXT_SUNDAY, Stall
from tests.factories import WareFactory
from vendor.closing.actions import Leftovers
from vendor.closing.models import ClosingLine
from vendor.closing.proof import audit_statements

pytestmark = pytest.mark.django_db


def two_closings(stall: Stall) -> None:
    """Two weekends of one ware: a difference, leftovers that stay, then all taken home."""
    ware = WareFactory()
    stall.packs(ware, 10)
    stall.sells(ware, 3)
    stall.counts(ware, 6)
    stall.explains(ware, "gone")
    stall.counts_cash(0)
    stall.closes(now=MONDAY)
    stall.sells(ware, 2, at=NEXT_SATURDAY)
    stall.counts(ware, 4, weekend=stall.second)
    stall.counts_cash(0, weekend=stall.second)
    stall.closes(weekend=stall.second, now=NEXT_SUNDAY, leftovers=Leftovers.HOME)


def test_statements_agree_with_the_ledger(stall: Stall) -> None:
    """However they were closed, and whatever came after."""
    two_closings(stall)
    assert audit_statements() == []


def test_a_statement_that_says_something_else_is_named(stall: Stall) -> None:
    """A line that the ledger knows nothing of: by its statement and its ware."""
    two_closings(stall)
    stray = WareFactory()
    figures = dict.fromkeys(
        ("packed_in", "taken_back", "found", "corrected", "sold", "returned", "broken", "given",
         "traded", "own_use", "handed_over", "variance"), 0,
    )  # fmt: skip
    ClosingLine.objects.create(
        closing=stall.first.closing, ware=stray, grade="first", name="A stray", opening=3,
        expected=3, counted=3, **figures,
    )  # fmt: skip
    assert [str(drift) for drift in audit_statements()] == [
        "opening of a statement: Closing 1, A stray: recorded 3, rebuilt 0",
        "left by a statement: Closing 1, A stray: recorded 3, rebuilt 0",
    ]
    answer = StringIO()
    with pytest.raises(SystemExit):
        call_command("audit", "--json", stdout=answer)
    assert len(json.loads(answer.getvalue())["drifts"]) == 2
