"""Which pieces carry which tag: a book-keeping of tags over what came, what went, what was tagged.

Nobody writes down which piece a tag was stuck on, so it is reckoned, of one ware and grade at a
time, from what is known: pieces come without a tag; tags that were printed go first on pieces that
have none, then over tags that say another price; the pieces that leave are those that were tagged
first; and a sold piece that comes back brings its tag with it. Pure values; no tables.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

Label = tuple[int, int]
"""What a price tag says: the key of its price list, and the price in minor units."""


@dataclass(frozen=True, slots=True)
class Came:
    """So many pieces came in; `back` says that they had been sold from here before."""

    pieces: int
    back: bool = False


@dataclass(frozen=True, slots=True)
class Went:
    """So many pieces left for good."""

    pieces: int


@dataclass(frozen=True, slots=True)
class Tagged:
    """So many tags with one price were printed."""

    pieces: int
    label: Label


Event = Came | Went | Tagged


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands now of one ware and grade: pieces without a tag, and pieces by what theirs says.

    The tagged ones are in the order in which they were tagged.
    """

    untagged: int = 0
    tagged: Mapping[Label, int] = field(default_factory=dict)


def standing(events: Iterable[Event]) -> Standing:
    """Reckon which pieces carry which tag after all events, given in the order they happened."""
    untagged = 0
    tagged: list[Label] = []
    gone: list[Label] = []
    for event in events:
        match event:
            case Came(pieces, back):
                returning = min(pieces, len(gone)) if back else 0
                tagged += gone[len(gone) - returning :]
                del gone[len(gone) - returning :]
                untagged += pieces - returning
            case Went(pieces):
                leaving = min(pieces, len(tagged))
                gone += tagged[:leaving]
                del tagged[:leaving]
                untagged = max(0, untagged - (pieces - leaving))
            case Tagged(pieces, label):
                fresh = min(pieces, untagged)
                untagged -= fresh
                kept = _without_oldest_of_others(tagged, label, pieces - fresh)
                tagged = [*kept, *[label] * (fresh + len(tagged) - len(kept))]
    return Standing(untagged, Counter(tagged))


def _without_oldest_of_others(tagged: list[Label], label: Label, most: int) -> list[Label]:
    """Return the tags that stay when up to `most` that say something else are replaced."""
    kept = []
    for each in tagged:
        if each != label and most > 0:
            most -= 1
        else:
            kept.append(each)
    return kept
