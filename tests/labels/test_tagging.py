"""Which pieces carry which tag, worked by hand and held to what must always be so."""

from hypothesis import given
from hypothesis import strategies as st

from vendor.labels.tagging import Came, Event, Standing, Tagged, Went, standing

OLD, NEW = (1, 3400), (1, 3600)


def test_pieces_come_without_a_tag() -> None:
    """Ten out of the kiln."""
    assert standing([Came(10)]) == Standing(10, {})


def test_tags_go_first_on_pieces_without_one() -> None:
    """Ten tagged at 34, five more come and are tagged at 36: ten are out of date."""
    events = [Came(10), Tagged(10, OLD), Came(5), Tagged(5, NEW)]
    assert standing(events) == Standing(0, {OLD: 10, NEW: 5})


def test_new_tags_replace_wrong_ones_once_every_piece_has_one() -> None:
    """Seven new tags on ten pieces: seven are put right."""
    assert standing([Came(10), Tagged(10, OLD), Tagged(7, NEW)]) == Standing(0, {OLD: 3, NEW: 7})


def test_printing_the_same_again_changes_nothing() -> None:
    """A page that jammed and was printed twice doesn't tag the next firing."""
    events = [Came(10), Tagged(10, OLD), Tagged(10, OLD), Came(4)]
    assert standing(events) == Standing(4, {OLD: 10})


def test_pieces_take_their_tags_along_the_first_tagged_first() -> None:
    """Ten sold, ten new: none of the new ones is taken for tagged."""
    events = [Came(10), Tagged(10, OLD), Went(10), Came(10)]
    assert standing(events) == Standing(10, {})
    events = [Came(5), Tagged(5, OLD), Came(5), Tagged(5, NEW), Went(6)]
    assert standing(events) == Standing(0, {NEW: 4})


def test_what_is_taken_back_brings_its_tag() -> None:
    """A sale undone leaves the stall as it was."""
    events = [Came(3), Tagged(3, OLD), Went(2), Came(2, back=True)]
    assert standing(events) == Standing(0, {OLD: 3})
    assert standing([Came(2), Went(1), Came(1, back=True)]) == Standing(2, {})


pieces = st.integers(1, 30)
events_ = st.lists(
    st.one_of(
        st.builds(Came, pieces, st.booleans()),
        st.builds(Went, pieces),
        st.builds(Tagged, pieces, st.sampled_from([OLD, NEW, (2, 3400)])),
    ),
    max_size=30,
)


@given(events_)
def test_every_piece_that_stands_is_counted_once(events: list[Event]) -> None:
    """Tagged and untagged together are what came less what went, never below nothing."""
    stands = 0
    for event in events:
        if isinstance(event, Came):
            stands += event.pieces
        elif isinstance(event, Went):
            stands = max(0, stands - event.pieces)
    found = standing(events)
    assert found.untagged + sum(found.tagged.values()) == stands
    assert found.untagged >= 0
    assert all(count > 0 for count in found.tagged.values())
