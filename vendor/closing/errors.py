"""What counting and closing refuse, each by its own name."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from vendor.closing.models import Counting
from vendor.house.errors import Refused

if TYPE_CHECKING:
    from vendor.closing.checklist import Open


class CountedMeanwhile(Refused):
    """Somebody else counted the same since the page was opened, and found another number.

    `standing` is their count: whoever came later chooses between the two, or counts again.
    """

    def __init__(self, standing: Counting, theirs: str, mine: str) -> None:
        super().__init__(
            f"{standing.made_by} counted {theirs} meanwhile, and you counted {mine}. "
            "Theirs is kept. Count once more, and say which holds."
        )
        self.standing = standing


class NothingToExplain(Refused):
    """A reason came for what has not been counted yet."""


class StillOpen(Refused):
    """The weekend can't be closed yet; `items` says what stands in the way."""

    def __init__(self, items: Sequence["Open"]) -> None:
        told = " ".join(item.what for item in items)
        super().__init__(f"The weekend is not closed yet, and nothing was changed. {told}")
        self.items = tuple(items)
