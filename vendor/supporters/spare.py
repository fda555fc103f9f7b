"""What to put online out of what is free, once the fair has what it needs. Pure.

The fair's need comes in as plain numbers: whoever estimates it stands above this part.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spare:
    """Of one ware: free pieces, the fair's need, what is online, and how many to add."""

    ware_id: int
    free: int
    need: int
    online: int
    add: int

    @property
    def spare(self) -> int:
        """What is left when the fair has its need."""
        return max(0, self.free - self.need)


def to_put_online(
    free: Mapping[int, int], need: Mapping[int, int], online: Mapping[int, int], *, each: int
) -> list[Spare]:
    """Return what to add so that `each` pieces of a ware are online, out of the spare ones only.

    All numbers are pieces by ware; the spare pieces of a ware that the fair needs stay for it.
    """
    found = []
    for ware_id in sorted(free.keys() | online.keys()):
        here, there = max(0, free.get(ware_id, 0)), online.get(ware_id, 0)
        wanted = max(0, need.get(ware_id, 0))
        add = min(max(0, here - wanted), max(0, each - there))
        found.append(Spare(ware_id, here, wanted, there, add))
    return found


def read_need(words: Iterable[str]) -> dict[int, int]:
    """Return the need by ware from words such as “12:3” (ware 12, three pieces).

    They come from the address of the page; whatever is not such a pair is passed over.
    """
    need: dict[int, int] = {}
    for word in words:
        ware, _, pieces = word.partition(":")
        if ware.isdecimal() and pieces.isdecimal() and len(ware) < 12 and len(pieces) < 6:
            need[int(ware)] = int(pieces)
    return need
