"""Every act on a promise, sent twice by one page and done by two."""

from collections.abc import Callable

import pytest

from tests.factories import NOW, shelf, stall
from tests.supporters.makers import at, promised
from vendor.house.models import User
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry
from vendor.supporters import actions
from vendor.supporters.errors import NotNow
from vendor.supporters.models import Commitment, Step, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def act(name: str, promise: Commitment, owner: User, key: str = "twice") -> Commitment:
    """Do an act by its name."""
    more = {"reason": "so"} if name in {"release_piece", "cancel", "take_back", "reopen"} else {}
    if name == "move_held":
        more = {"to": stall()}
    verb: Callable[..., Commitment] = getattr(actions, name)
    return verb(key=key, commitment=promise, who=owner, now=NOW, **more)


BEFORE: dict[str, list[str]] = {
    "keep_piece": [],
    "release_piece": ["keep_piece"],
    "move_held": ["keep_piece"],
    "send_reward": ["keep_piece"],
    "hand_over": ["keep_piece"],
    "cancel": ["keep_piece"],
    "reopen": ["cancel"],
    "take_back": ["keep_piece", "send_reward"],
}


@pytest.mark.parametrize("name", BEFORE)
def test_an_act_sent_twice_is_done_once(
    name: str, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """The same key again changes nothing and answers the same."""
    promise = promised(ines, tumbler, owner)
    for earlier in BEFORE[name]:
        promise = act(earlier, promise, owner, key=f"before-{earlier}")
    first = act(name, promise, owner)
    counts = (Entry.objects.count(), Step.objects.count(), at(shelf(), tumbler))
    again = act(name, promise, owner)
    assert (again.pk, again.state, again.hold_id) == (first.pk, first.state, first.hold_id)
    assert counts == (Entry.objects.count(), Step.objects.count(), at(shelf(), tumbler))
    assert audit() == []


@pytest.mark.parametrize("name", BEFORE)
def test_an_act_done_by_two_pages_is_refused_the_second_time(
    name: str, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Another key for what is done already is a sentence, not a second piece."""
    promise = promised(ines, tumbler, owner)
    for earlier in BEFORE[name]:
        promise = act(earlier, promise, owner, key=f"before-{earlier}")
    act(name, promise, owner)
    if name == "move_held":
        assert act(name, promise, owner, key="other").steps.filter(what="moved").count() == 1
    else:
        with pytest.raises(NotNow):
            act(name, promise, owner, key="other")
