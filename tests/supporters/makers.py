"""Short ways to make promises, and to say where they stand."""

import datetime
import itertools
from typing import Any

from tests.factories import NOW
from vendor.house.models import User, new_key
from vendor.ledger.models import Balance, Place
from vendor.supporters import actions
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Ware

_numbers = itertools.count(1)
TODAY = datetime.date(2026, 12, 2)


def promised(supporter: Supporter, ware: Ware, owner: User, **more: Any) -> Commitment:
    """Promise a piece."""
    key = more.pop("key", f"promise-{next(_numbers)}")
    return actions.promise(
        key=key, supporter=supporter, ware=ware, who=owner, now=more.pop("now", NOW), **more
    )


def kept(commitment: Commitment, owner: User, **more: Any) -> Commitment:
    """Hold a piece for a promise."""
    key = more.pop("key", f"keep-{next(_numbers)}")
    return actions.keep_piece(key=key, commitment=commitment, who=owner, now=NOW, **more)


def at(place: Place, ware: Ware, grade: str = "first") -> tuple[int, int]:
    """Return (on hand, held) of a ware at a place."""
    row = Balance.objects.filter(place=place, ware=ware, grade=grade).first()
    return (row.on_hand, row.held) if row else (0, 0)


def keyed(**more: Any) -> dict[str, Any]:
    """Return what a form of the part's pages sends, with a key of its own."""
    return {"key": new_key(), **more}
