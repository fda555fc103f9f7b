"""A file of contributions tells the same in any order, and in any number of parts."""

import random
from typing import Any

import pytest
from django.db import transaction

from tests.supporters.test_importing import facts, imported, levels
from vendor.house.models import User
from vendor.supporters.models import Level, Supporter

__all__ = ["levels"]
pytestmark = pytest.mark.django_db


class Undone(Exception):  # noqa: N818
    """Takes an experiment back."""


def after_importing(files: list[list[list[str]]], owner: User) -> list[Any]:
    """Return the facts after importing some files, and take everything back."""
    found: list[Any] = []
    try:
        with transaction.atomic():
            for rows in files:
                if rows:
                    imported(rows, owner)
            found = facts()
            raise Undone
    except Undone:
        return found


@pytest.mark.parametrize("number", range(12))
def test_splitting_and_shuffling_a_file_changes_nothing(
    number: int, ines: Supporter, levels: dict[str, Level], owner: User
) -> None:
    """Drawn files with references and without, refunds, failures, strangers, repeats."""
    rng = random.Random(number)
    rows = []
    for index in range(14):
        name = rng.choice(["Ines Quill", "Bram Osterly", "Wren Halloway"])
        mail = f"{name.split()[0].lower()}@example.org" if rng.random() < 0.7 else ""
        chosen = rng.choice([("Friend", "5.00"), ("Flame", "20.00")])
        sum_ = f"-{chosen[1]}" if rng.random() < 0.15 else chosen[1]
        day = f"2026-{rng.randint(8, 11):02d}-{rng.randint(1, 28):02d}"
        how = rng.choice(["paid", "paid", "failed", "refunded"])
        rows.append([name, mail, day, sum_, chosen[0], how, f"R{index}" if index % 2 else ""])
    # A later export tells the same payments with another state.
    rows += [[*row[:5], rng.choice(["paid", "refunded"]), row[6]] for row in rows[:6] if row[6]]
    whole = after_importing([rows], owner)
    cut = rng.randint(0, len(rows))
    assert after_importing([rows[:cut], rows[cut:]], owner) == whole
    rng.shuffle(rows)
    assert after_importing([rows], owner) == whole
    assert after_importing([rows, rows], owner) == whole
