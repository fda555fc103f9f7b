"""Short ways to take promises into the making, and to say where they stand."""

from typing import Any

from tests.factories import NOW
from tests.firings.boards import key
from tests.supporters.makers import TODAY
from vendor.house.models import User
from vendor.supporters import choosing, places
from vendor.supporters.models import Commitment
from vendor.supporters.places import Place


def make(promise: Commitment, owner: User, **where: Any) -> Commitment:
    """Take a promise into the making."""
    more = {"key": where.pop("key", None) or key(), "who": owner, "now": NOW}
    return choosing.start_making(commitment=promise, **where, **more)


def place(promise: Commitment) -> Place:
    """Return where a promise is, as its page says it."""
    fresh = Commitment.objects.named().get(pk=promise.pk)
    places.tell([fresh], today=TODAY)
    assert isinstance(fresh.place, Place)
    return fresh.place


def stands(promise: Commitment) -> tuple[str, int | None, int | None]:
    """Return a promise's state, batch and line."""
    promise.refresh_from_db()
    return promise.state, promise.batch_id, promise.firing_line_id


def last_note(promise: Commitment) -> tuple[str, str]:
    """Return what happened to a promise last."""
    step = promise.steps.last()
    assert step is not None
    return step.what, step.note
