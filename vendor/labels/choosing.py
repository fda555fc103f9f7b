"""What tags can be printed for: pieces, promised pieces, lines of a kiln; and how many of each.

A page of tags is begun from a *source* (a firing, a packing list, what has no true tag …) that
suggests a count for each; the potter changes what she likes.
"""

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from django.db.models import Sum
from django.urls import reverse

from vendor.fairs.models import PackingList
from vendor.firings.models import Firing, FiringLine
from vendor.house import dates
from vendor.labels.held import NOTHING, Stock, stock
from vendor.labels.models import Kind
from vendor.labels.queries import Spot, TagState, named
from vendor.ledger.models import Entry, Hold, HoldLine, Place
from vendor.ledger.queries import open_holds
from vendor.ware.models import Grade, Ware

LATEST = 3


@dataclass(frozen=True, slots=True)
class Source:
    """What a page of tags is begun from, and what it suggests by ware and grade, and by hold."""

    title: str = ""
    counts: Mapping[Spot, int] = field(default_factory=dict)
    holds: Mapping[int, int] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """All tags that it suggests."""
        return sum(self.counts.values()) + sum(self.holds.values())


@dataclass(frozen=True, slots=True)
class Pick:
    """One thing that tags can be printed for; `key` names it on the page.

    Exactly one of ware and `words` says what it is. A pick with a hold is a promised piece: it
    gets a tag without a price.
    """

    key: str
    name: str
    suggested: int = 0
    stock: Stock = NOTHING
    ware: Ware | None = None
    grade: str = Grade.FIRST
    hold: Hold | None = None
    firing: Firing | None = None
    words: str = ""

    @property
    def is_second(self) -> bool:
        """Whether it is a flawed piece."""
        return self.grade == Grade.SECOND

    @property
    def code(self) -> str:
        """The code that goes in bars."""
        if self.hold is not None:
            return self.hold.label
        return self.ware.code if self.ware else ""


def of_firing(firing: Firing) -> Source:
    """Suggest a price tag for each piece that a firing brought (three statements).

    Pieces that have been set aside since it was unloaded get no price tag but a tag by what they
    are held for; and never more price tags are suggested than free pieces stand anywhere.
    """
    lines = firing.lines.filter(ware__isnull=False, firsts__isnull=False)
    brought: dict[Spot, int] = defaultdict(int)
    for line in lines:
        # One ware has a line for each batch that it came from.
        assert line.ware_id is not None
        brought[line.ware_id, Grade.FIRST.value] += line.firsts or 0
        brought[line.ware_id, Grade.SECOND.value] += line.seconds or 0
    holds = _held_since(firing, [ware_id for ware_id, _ in brought])
    held: dict[Spot, int] = {}
    for hold in holds:
        held[hold.ware_id, hold.grade] = held.get((hold.ware_id, hold.grade), 0) + hold.quantity
    return Source(
        f"All that firing {firing.number} brought",
        _of_free({spot: pieces - held.get(spot, 0) for spot, pieces in brought.items()}),
        {hold.pk: hold.quantity for hold in holds if brought.get((hold.ware_id, hold.grade))},
    )


def _held_since(firing: Firing, ware_ids: Sequence[int]) -> list[Hold]:
    """Return the open holds of ware that began after a firing was unloaded."""
    if firing.entry_id is None:
        return []
    lines = HoldLine.objects.filter(change__gt=0, hold__ware_id__in=ware_ids)
    before = lines.filter(entry_id__lt=firing.entry_id).values("hold_id")
    holds = Hold.objects.filter(ware_id__in=ware_ids, quantity__gt=0)
    return list(holds.exclude(pk__in=before))


def of_list(packing_list: PackingList) -> Source:
    """Suggest a price tag for each free piece on a packing list (two statements)."""
    rows = packing_list.lines.order_by().values_list("ware_id", "grade").annotate(Sum("quantity"))
    counts = {(ware_id, grade): pieces for ware_id, grade, pieces in rows}
    return Source(f"Packing list “{packing_list.title}”", _of_free(counts))


def of_entry(entry: Entry) -> Source:
    """Suggest a price tag for each free piece that a count (or another entry) brought in."""
    rows = (
        entry.movements.filter(target__kind__in=Place.PHYSICAL)
        .exclude(source__kind__in=Place.PHYSICAL)
        .order_by()
        .values_list("ware_id", "grade")
        .annotate(Sum("quantity"))
    )
    counts = {(ware_id, grade): pieces for ware_id, grade, pieces in rows}
    return Source(f"Found at the count of {dates.day(entry.day)}", _of_free(counts))


def _of_free(counts: Mapping[Spot, int]) -> dict[Spot, int]:
    """Return as many of each as are free somewhere: a held piece gets no price tag."""
    there = stock()
    capped = {spot: min(n, there.get(spot, NOTHING).free) for spot, n in counts.items()}
    return {spot: pieces for spot, pieces in capped.items() if pieces > 0}


def key_of(ware_id: int, grade: str) -> str:
    """Return the name of a piece on the page of tags."""
    return f"w{ware_id}{'s' if grade == Grade.SECOND else ''}"


def of_piece(key: str) -> Source:
    """Suggest one tag for a piece in the hand, by its `key_of`; none for another name."""
    found = re.fullmatch(r"w([0-9]{1,9})(s?)", key)
    if found is None:
        return Source()
    grade = Grade.SECOND if found[2] else Grade.FIRST
    return Source("One tag for the piece in hand", {(int(found[1]), grade.value): 1})


def of_changed(states: Sequence[TagState]) -> Source:
    """Suggest a new tag for each free piece whose tag says a price that is no longer right."""
    counts = {(each.ware.pk, each.grade): each.to_replace for each in states if each.to_replace}
    return Source("Pieces whose price has changed since their tags were printed", counts)


def of_untrue(states: Sequence[TagState]) -> Source:
    """Suggest a tag for each free piece that has none, or one with a wrong price."""
    counts = {(each.ware.pk, each.grade): each.to_tag for each in states if each.to_tag}
    return Source("All pieces without a true tag", counts)


def sources() -> list[tuple[str, str, str]]:
    """Return what a page can be begun from: name, what it is, address (four statements)."""
    here = reverse("labels:index")
    firings = Firing.objects.filter(unloaded_at__isnull=False, entry__isnull=False)[:LATEST]
    found = [
        (
            f"{each}, in the kiln",
            "slips for its shelves",
            f"{here}?firing={each.pk}&kind={Kind.SLIP}",
        )
        for each in Firing.objects.to_unload()[:LATEST]
    ]
    found += [
        (
            str(each),
            f"{each.get_kind_display()}, {dates.short_day(each.fired_on)}",
            f"{here}?firing={each.pk}",
        )
        for each in firings
    ]
    lists = PackingList.objects.filter(loaded_at__isnull=True).select_related("weekend__fair")
    found += [
        (f"Packing list “{each.title}”", str(each.weekend), f"{here}?list={each.pk}")
        for each in lists.order_by("-id")[:LATEST]
    ]
    counts = Entry.objects.filter(
        kind__in=(Entry.Kind.CORRECTION, Entry.Kind.FINDING), reversed_by__isnull=True
    )
    found += [
        (f"Count of {dates.short_day(each.day)}", each.reason, f"{here}?count={each.pk}")
        for each in counts.order_by("-id")[:LATEST]
    ]
    return found


def picks_for(
    kind: str, source: Source, firing: Firing | None = None, asked: Collection[str] = ()
) -> list[Pick]:
    """Return what tags of a kind can be printed for, what is suggested first.

    Among price tags stand those promised pieces alone that are suggested, or `asked` for by key.
    """
    if kind == Kind.SLIP:
        return _slips(firing)
    held = [_promised(hold, source) for hold in open_holds()]
    if kind == Kind.REWARD:
        return held
    pieces = _pieces(source)
    with_holds = [pick for pick in held if pick.suggested or pick.key in asked]
    return [*pieces, *with_holds] if kind != Kind.TALKER else pieces


def _pieces(source: Source) -> list[Pick]:
    """Return each ware that is current, stands somewhere or is suggested, by grade."""
    there = stock()
    asked = {ware_id for ware_id, _ in source.counts}
    picks = []
    for ware in Ware.objects.named():
        for grade in (Grade.FIRST.value, Grade.SECOND.value):
            spot = (ware.pk, grade)
            found = there.get(spot, NOTHING)
            current = not ware.retired and grade == Grade.FIRST
            stands = found.free or found.held
            if not (current or stands or (ware.pk in asked and spot in source.counts)):
                continue
            picks.append(
                Pick(
                    key=key_of(*spot),
                    name=named(ware, grade),
                    suggested=source.counts.get(spot, 0),
                    stock=found,
                    ware=ware,
                    grade=grade,
                )
            )
    return sorted(picks, key=lambda pick: not pick.suggested)


def _promised(hold: Hold, source: Source) -> Pick:
    return Pick(
        key=f"h{hold.pk}",
        name=f"{hold.ware.name}: {hold.label}",
        suggested=source.holds.get(hold.pk, 0),
        stock=Stock(held=hold.quantity),
        ware=hold.ware,
        grade=hold.grade,
        hold=hold,
    )


def _slips(firing: Firing | None) -> list[Pick]:
    """Return the lines of a kiln load: a slip for each."""
    if firing is None:
        return []
    lines = FiringLine.objects.filter(firing=firing).select_related(
        "ware__form", "ware__finish", "form"
    )
    return [
        Pick(
            key=f"f{line.pk}",
            name=f"{line.name}, {line.loaded} loaded",
            suggested=1,
            stock=Stock(in_kiln=line.loaded),
            firing=firing,
            words=f"{line.loaded} × {line.name}",
        )
        for line in lines
    ]
