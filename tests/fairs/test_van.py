"""Packing, loading, unloading and bringing home."""

import datetime

import pytest

from tests.factories import NOW, WareFactory, shelf, stocked
from tests.fairs.makers import LOADED_AT, a_fair, at, on_the_stall, packed, weekends_of
from vendor.fairs import actions
from vendor.fairs.actions import Packed
from vendor.fairs.errors import AlreadyLoaded, NotFree, WeekendClosed
from vendor.fairs.models import Fair, PackingList, Weekend
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.actions import Line
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


@pytest.fixture
def fair(owner: User) -> Fair:
    return a_fair(owner)


@pytest.fixture
def weekend(fair: Fair, owner: User) -> Weekend:
    return weekends_of(fair, owner)[0]


@pytest.fixture
def tumbler(owner: User) -> Ware:
    """A ware of which ten stand on the shelf."""
    ware = WareFactory()
    stocked(ware, 10, who=owner)
    return ware


def lines_of(packing_list: PackingList) -> list[tuple[str, int]]:
    return list(packing_list.lines.values_list("tote", "quantity"))


def test_packing_sets_quantities_by_tote(weekend: Weekend, tumbler: Ware, owner: User) -> None:
    """Set, not added: saying it twice is saying it once; nought takes the line off."""
    made = packed(
        weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3, tote=" B ")], owner
    )
    actions.pack(
        packing_list=made, lines=[Packed(tumbler.pk, 4, tote="A")], who=owner, now=LOADED_AT
    )
    assert lines_of(made) == [("A", 4), ("B", 3)]
    actions.pack(
        packing_list=made, lines=[Packed(tumbler.pk, 0, tote="A")], who=owner, now=LOADED_AT
    )
    assert lines_of(made) == [("B", 3)]


def test_a_held_piece_cannot_be_packed(weekend: Weekend, tumbler: Ware, owner: User) -> None:
    """Only free stock counts, over all totes together; what was listed before stays."""
    holds.hold(
        key="h", ware_id=tumbler.pk, at=shelf(), quantity=2, purpose="commitment",
        label="Promise 12", who=owner, now=NOW,
    )  # fmt: skip
    made = packed(weekend, [Packed(tumbler.pk, 6, tote="A")], owner)
    with pytest.raises(
        NotFree, match=r"9 wanted, 8 free, 2 more held.*release its hold"
    ) as refused:
        actions.pack(
            packing_list=made, lines=[Packed(tumbler.pk, 3, tote="B")], who=owner, now=LOADED_AT
        )
    assert [(short.wanted, short.free) for short in refused.value.shorts] == [(9, 8)]
    assert lines_of(made) == [("A", 6)]


@pytest.mark.parametrize("quantity", [-1, 5_001, 10**12])
def test_impossible_quantities_are_refused(
    weekend: Weekend, tumbler: Ware, owner: User, quantity: int
) -> None:
    """Below nothing, and more than any van holds."""
    made = packed(weekend, [Packed(tumbler.pk, 1)], owner)
    with pytest.raises(Refused, match="can't be right"):
        actions.pack(packing_list=made, lines=[Packed(tumbler.pk, quantity)], who=owner, now=NOW)


def test_loading_moves_everything_once(weekend: Weekend, tumbler: Ware, owner: User) -> None:
    """However often it is sent, and whatever key it comes with."""
    made = packed(
        weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 3, tote="B")], owner
    )
    for key in ("load", "load", "another page"):
        made = actions.load_van(key=key, packing_list=made, who=owner, now=LOADED_AT)
    assert (at(shelf(), tumbler), at(weekend.fair.stall, tumbler)) == (3, 7)
    assert (made.loaded_by, made.loaded_at) == (owner, LOADED_AT)
    assert audit() == []


def test_loading_names_every_short_line_and_moves_nothing(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """All or nothing: the line that would fit stays too."""
    bowl, jar = WareFactory(), WareFactory()
    stocked(bowl, 5, who=owner)
    stocked(jar, 5, who=owner)
    made = packed(weekend, [Packed(ware.pk, 5) for ware in (tumbler, bowl, jar)], owner)
    for ware in (tumbler, bowl):
        ledger.remove(
            key=f"broken-{ware.pk}", lines=[Line(ware.pk, at(shelf(), ware) - 1)], source=shelf(),
            to="broken", who=owner, now=NOW, reason="a shelf fell",
        )  # fmt: skip
    with pytest.raises(NotFree) as refused:
        actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    assert {short.name for short in refused.value.shorts} == {tumbler.name, bowl.name}
    assert at(shelf(), jar) == 5
    assert not PackingList.objects.get().is_loaded


def test_an_empty_list_loads_nothing(weekend: Weekend, owner: User) -> None:
    """There is nothing to enter."""
    made = actions.start_list(key="l", weekend=weekend, who=owner, now=LOADED_AT)
    with pytest.raises(Refused, match="nothing to enter"):
        actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)


def test_a_loaded_list_is_a_record(weekend: Weekend, tumbler: Ware, owner: User) -> None:
    """It takes no more lines: another list does."""
    made = on_the_stall(weekend, WareFactory(), 2, owner)
    with pytest.raises(AlreadyLoaded, match="in the van already"):
        actions.pack(packing_list=made, lines=[Packed(tumbler.pk, 1)], who=owner, now=LOADED_AT)


def test_a_loading_is_undone_by_a_reversing_entry(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """The list can be changed and loaded again, but not by the page it was loaded from first."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    first = actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT).entry
    undo = {"packing_list": made, "reason": "the wrong van", "who": owner, "now": LOADED_AT}
    actions.unload_van(key="unload", **undo)
    actions.unload_van(key="unload", **undo)
    assert at(shelf(), tumbler) == 10
    assert Entry.objects.get(kind="reversal").reverses == first
    with pytest.raises(AlreadyLoaded, match="unloaded again"):
        actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    actions.load_van(key="load again", packing_list=made, who=owner, now=LOADED_AT)
    assert at(weekend.fair.stall, tumbler) == 4


def test_what_is_sold_since_cannot_be_unloaded(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """The loading stands where its pieces have gone on."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    ledger.sell(
        key="s", lines=[Line(tumbler.pk, 1)], source=weekend.fair.stall, who=owner, now=LOADED_AT
    )
    with pytest.raises(Refused, match="has 3 of"):
        actions.unload_van(key="u", packing_list=made, reason="no", who=owner, now=LOADED_AT)
    assert PackingList.objects.get().is_loaded


def test_nothing_is_packed_or_loaded_into_a_closed_weekend(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Closed is closed at every door."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    ledger.close_through(place=weekend.fair.stall, day=weekend.last_day)
    with pytest.raises(WeekendClosed):
        actions.pack(packing_list=made, lines=[Packed(tumbler.pk, 1)], who=owner, now=NOW)
    with pytest.raises(WeekendClosed):
        actions.load_van(key="load", packing_list=made, who=owner, now=NOW)
    with pytest.raises(WeekendClosed):
        actions.start_list(key="new", weekend=weekend, who=owner, now=NOW)


def test_the_van_of_a_closed_weekend_is_not_unloaded(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """What it brought is in the statement; what is left is brought home instead."""
    made = packed(weekend, [Packed(tumbler.pk, 4)], owner)
    actions.load_van(key="load", packing_list=made, who=owner, now=LOADED_AT)
    ledger.close_through(place=weekend.fair.stall, day=weekend.last_day)
    with pytest.raises(WeekendClosed):
        actions.unload_van(key="u", packing_list=made, reason="late", who=owner, now=NOW)
    actions.bring_home(key="h", fair=weekend.fair, lines=[Line(tumbler.pk, 4)], who=owner, now=NOW)
    assert at(shelf(), tumbler) == 10


def test_bringing_home_moves_from_the_stall_once(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """Sent twice it moves once; more than stands there is refused by name."""
    on_the_stall(weekend, tumbler, 5, owner)
    home = {"fair": weekend.fair, "who": owner, "now": LOADED_AT}
    first = actions.bring_home(key="home", lines=[Line(tumbler.pk, 5)], **home)
    assert actions.bring_home(key="home", lines=[Line(tumbler.pk, 5)], **home) == first
    assert (at(shelf(), tumbler), at(weekend.fair.stall, tumbler)) == (15, 0)
    with pytest.raises(NotFree, match="1 wanted, 0 free"):
        actions.bring_home(key="more", lines=[Line(tumbler.pk, 1)], **home)


def test_what_is_to_be_brought_comes_on_the_open_list(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """A suggestion fills the list up to its quantity, and sent twice adds nothing."""
    made = packed(weekend, [Packed(tumbler.pk, 4, tote="A"), Packed(tumbler.pk, 1)], owner)
    for _ in range(2):
        same = actions.bring(
            key="b", weekend=weekend, lines=[Line(tumbler.pk, 7)], who=owner, now=LOADED_AT
        )
    assert same == made
    assert lines_of(made) == [("A", 4), ("", 3)]
    actions.bring(key="c", weekend=weekend, lines=[Line(tumbler.pk, 2)], who=owner, now=LOADED_AT)
    assert lines_of(made) == [("A", 4), ("", 3)]


def test_a_top_up_on_sunday_is_a_list_of_its_own(
    weekend: Weekend, tumbler: Ware, owner: User
) -> None:
    """A weekend may have several lists; each is loaded for itself."""
    on_the_stall(weekend, tumbler, 5, owner)
    sunday = datetime.datetime.combine(weekend.last_day, datetime.time(8), NOW.tzinfo)
    on_the_stall(weekend, tumbler, 2, owner, now=sunday)
    assert weekend.packing_lists.count() == 2
    assert at(weekend.fair.stall, tumbler) == 7
