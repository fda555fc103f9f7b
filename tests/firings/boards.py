"""Short ways to make batches, and to say where they stand."""

import datetime
import itertools
from typing import Any

from tests.factories import NOW, FormFactory
from tests.firings.kiln import TODAY, facts, owner
from vendor.firings import actions, batching
from vendor.firings.actions import Load
from vendor.firings.models import Batch, Firing
from vendor.ware.models import Form, Ware

MONDAY = datetime.date(2026, 11, 23)
_keys = itertools.count()


def key() -> str:
    """Return a key of its own."""
    return f"batch-test-{next(_keys)}"


def batch(pieces: int = 12, form: Form | None = None, **more: Any) -> Batch:
    """Begin a batch, thrown on Monday a week ago unless told otherwise."""
    return batching.start_batch(
        key=more.pop("key", None) or key(),
        form=form or FormFactory(),
        pieces=pieces,
        thrown_on=more.pop("thrown_on", MONDAY),
        who=owner(),
        now=NOW,
        **more,
    )


def moved(one: Batch, to: int, **more: Any) -> Batch:
    """Move a batch on."""
    return batching.move_on(
        key=more.pop("key", None) or key(), batch=one, to=to, who=owner(), now=NOW, **more
    )


def loaded(*loads: tuple[Ware | Form, int, Batch | None], **more: Any) -> Firing:
    """Record a firing of so many pieces of each thing, out of a batch or not."""
    return actions.record_firing(
        key=more.pop("key", None) or key(),
        facts=facts(**more),
        loads=[
            Load(thing.pk, pieces, one.pk if one is not None else None)
            for thing, pieces, one in loads
        ],
        who=owner(),
        now=NOW,
    )


def figures(one: Batch) -> dict[str, int]:
    """Return where the pieces of a batch are."""
    one.refresh_from_db()
    return {
        "lost": one.lost,
        "out": one.out,
        "in_kiln": one.in_kiln,
        "at_hand": one.at_hand,
    }


YESTERDAY = TODAY - datetime.timedelta(days=1)
