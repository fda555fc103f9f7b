"""Which totes at a stall are unpacked: by the latest word since the van was loaded."""

import datetime

import pytest

from tests.factories import WareFactory, stocked
from tests.fairs.makers import LOADED_AT, a_fair, packed, weekends_of
from vendor.fairs import actions
from vendor.fairs.actions import Packed
from vendor.fairs.models import PackingList, Unpacked, Weekend
from vendor.fairs.unpacking import NoSuchTote, Stowed, Tote, totes
from vendor.house.models import User

pytestmark = pytest.mark.django_db

LATER = LOADED_AT + datetime.timedelta(hours=15)
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture
def weekends(owner: User) -> list[Weekend]:
    return list(weekends_of(a_fair(owner), owner))


@pytest.fixture
def loaded(weekends: list[Weekend], owner: User) -> PackingList:
    """A list of ten tumblers: four in tote 1, five in tote 3, one in none; in the van."""
    ware = WareFactory()
    stocked(ware, 10, who=owner)
    lines = [Packed(ware.pk, 4, tote="1"), Packed(ware.pk, 5, tote="3"), Packed(ware.pk, 1)]
    made = packed(weekends[0], lines, owner)
    return actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)


def say(
    made: PackingList, tote: str, owner: User, *, out: bool = True, key: str = "", after: int = 0
) -> Unpacked:
    return actions.unpack(
        key=key or f"said-{tote}-{after}",
        packing_list_id=made.pk,
        tote=tote,
        is_out=out,
        who=owner,
        now=LATER + after * MINUTE,
    )


def out(weekend: Weekend) -> dict[str, bool]:
    return {tote.mark: tote.is_out for tote in totes(weekend)}


def test_totes_are_packed_until_somebody_says_otherwise(
    loaded: PackingList, weekends: list[Weekend], owner: User
) -> None:
    """What is in no tote is in none; another weekend has its own."""
    code = loaded.lines.first().ware.code  # type: ignore[union-attr]
    assert totes(weekends[0]) == (
        Tote(loaded.pk, "1", False, (Stowed(code, "first", 4),)),
        Tote(loaded.pk, "3", False, (Stowed(code, "first", 5),)),
    )
    assert totes(weekends[1]) == ()
    say(loaded, "3", owner)
    assert out(weekends[0]) == {"1": False, "3": True}


def test_the_latest_word_holds_and_is_taken_once(
    loaded: PackingList, weekends: list[Weekend], owner: User
) -> None:
    """Unpacked, packed again; the first word sent once more changes nothing."""
    first = say(loaded, "3", owner, key="a")
    say(loaded, "3", owner, out=False, after=5)
    assert out(weekends[0])["3"] is False
    assert say(loaded, "3", owner, key="a", after=9) == first
    assert out(weekends[0])["3"] is False


def test_only_a_tote_of_a_loaded_list_is_unpacked(
    loaded: PackingList, weekends: list[Weekend], owner: User
) -> None:
    """Not what is in no tote, nor one that no list has, nor one still at home."""
    other = WareFactory()
    stocked(other, 2, who=owner)
    at_home = packed(weekends[0], [Packed(other.pk, 2, tote="9")], owner, key="home")
    for made, tote in ((loaded, ""), (loaded, "7"), (at_home, "9")):
        with pytest.raises(NoSuchTote, match="Nothing was noted"):
            say(made, tote, owner)
    assert not Unpacked.objects.exists()
    assert out(weekends[0]) == {"1": False, "3": False}


def test_a_van_that_is_loaded_anew_has_its_totes_packed(
    loaded: PackingList, weekends: list[Weekend], owner: User
) -> None:
    """What was said of the first loading holds no more."""
    say(loaded, "3", owner)
    actions.unload_van(key="back", packing_list=loaded, reason="Forgot", who=owner, now=LATER)
    assert totes(weekends[0]) == ()
    actions.load_van(key="again", packing_list=loaded, who=owner, now=LATER + MINUTE)
    assert out(weekends[0]) == {"1": False, "3": False}
