"""Tells the parts above, within the act's own transaction, what of a kiln's load is gone for good.

This part knows nothing of promises. A part above that must follow registers itself when it is
loaded, as it does with `ledger.triggers.protect`.
"""

import datetime
from collections.abc import Sequence
from typing import Protocol

from vendor.firings.models import Batch, FiringLine
from vendor.house.models import User


class Follower(Protocol):
    """What a part above does when pieces that it counts on will not come."""

    def batch_gone(self, *, batch: Batch, why: str, who: User, now: datetime.datetime) -> None:
        """No further piece of the batch will come; `why` is a whole sentence's worth."""

    def lines_gone(
        self, *, lines: Sequence[FiringLine], why: str, who: User, now: datetime.datetime
    ) -> None:
        """Nothing will come of these lines of a firing; they may be deleted right after."""


_followers: list[Follower] = []


def follow(follower: Follower) -> None:
    """Add somebody who is told; once is enough."""
    if follower not in _followers:
        _followers.append(follower)


def tell_batch_gone(*, batch: Batch, why: str, who: User, now: datetime.datetime) -> None:
    """Say that a batch was called off or lost as a whole."""
    for each in _followers:
        each.batch_gone(batch=batch, why=why, who=who, now=now)


def tell_lines_gone(
    *, lines: Sequence[FiringLine], why: str, who: User, now: datetime.datetime
) -> None:
    """Say that lines of a firing were taken out, called off or lost as a whole."""
    for each in _followers:
        if lines:
            each.lines_gone(lines=lines, why=why, who=who, now=now)
