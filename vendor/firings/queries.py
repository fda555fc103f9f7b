"""Reads of the kiln's book: typed rows in a fixed number of statements, however much there is."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Count, Max, Sum

from vendor.firings import cones
from vendor.firings.cones import Cone
from vendor.firings.losses import causes_in_words
from vendor.firings.models import Firing, FiringLine, Kiln, WitnessCone
from vendor.firings.value import FiringValue, Load, value_of
from vendor.ware.models import Form, Grade, PriceTier, Ware
from vendor.ware.pricing import PriceBook

LATEST = 5
"""So many firings with witness cones tell how a kiln fires now."""
LATELY = 3
"""What went into so many latest firings is offered first when the next one is loaded."""


@dataclass(frozen=True, slots=True)
class FiringRow:
    """One firing in a list, with its pieces over all lines (None while not unloaded)."""

    firing: Firing
    state: str
    loaded: int
    firsts: int | None
    seconds: int | None
    lost: int | None

    @property
    def name(self) -> str:
        """What it is called: “Firing 12”."""
        return str(self.firing)

    @property
    def what(self) -> str:
        """What it was: “Glaze, cone 6”."""
        return f"{self.firing.get_kind_display()}, cone {self.firing.cone}"


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of a firing, with what was lost in words (“1 cracked, 2 warped”)."""

    line: FiringLine
    why: str


@dataclass(frozen=True, slots=True)
class Totals:
    """The pieces of a firing over all its lines; what came out is None until unloaded."""

    loaded: int
    firsts: int | None
    seconds: int | None
    lost: int | None


@dataclass(frozen=True, slots=True)
class Reading:
    """What one witness cone showed, and how far that is from the cone aimed at."""

    shelf: str
    cone: str
    apart: str


@dataclass(frozen=True, slots=True)
class KilnRow:
    """One kiln, how often it was fired, when last, and how it fires by its witness cones."""

    kiln: Kiln
    firings: int
    last_fired: datetime.date | None
    drift: cones.Drift | None


def firing_rows() -> list[FiringRow]:
    """Return all firings, the latest first (two statements)."""
    sums = {
        firing_id: pieces
        for firing_id, *pieces in FiringLine.objects.order_by()
        .values_list("firing_id")
        .annotate(Sum("loaded"), Sum("firsts"), Sum("seconds"), Sum("lost"))
    }
    nothing = [0, None, None, None]
    return [
        FiringRow(each, state_of(each), *sums.get(each.pk, nothing))
        for each in Firing.objects.select_related("kiln")
    ]


def state_of(firing: Firing) -> str:
    """Say how far a firing has come."""
    if firing.is_called_off:
        return "Called off"
    return "Unloaded" if firing.is_unloaded else "To unload"


def lines_of(firing: Firing) -> list[LineRow]:
    """Return the lines of a firing with what they are and why some were lost (two statements)."""
    lines = firing.lines.select_related(
        "ware__form", "ware__finish", "form", "batch"
    ).prefetch_related("losses")
    return [
        LineRow(
            line,
            causes_in_words(Counter({loss.cause: loss.quantity for loss in line.losses.all()})),
        )
        for line in lines
    ]


def totals_of(lines: Sequence[LineRow]) -> Totals:
    """Return the sums over the lines of a firing (no statement)."""

    def total(pieces: Iterable[int | None]) -> int | None:
        known = [each for each in pieces if each is not None]
        return sum(known) if known else None

    return Totals(
        sum(row.line.loaded for row in lines),
        total(row.line.firsts for row in lines),
        total(row.line.seconds for row in lines),
        total(row.line.lost for row in lines),
    )


def readings_of(firing: Firing) -> list[Reading]:
    """Return what the witness cones of a firing showed, shelf by shelf (one statement)."""
    aimed = Cone.of(firing.cone)
    return [
        Reading(
            row.shelf, row.cone, cones.in_words(cones.half_cones_over(Cone.of(row.cone), aimed))
        )
        for row in firing.witness_cones.all()
    ]


def kiln_rows() -> list[KilnRow]:
    """Return all kilns with their firings and how they fire now (three statements)."""
    fired = {
        kiln_id: (times, last)
        for kiln_id, times, last in Firing.objects.filter(called_off_at__isnull=True)
        .order_by()
        .values_list("kiln_id")
        .annotate(Count("id"), Max("fired_on"))
    }
    readings: dict[int, dict[int, tuple[Cone, list[Cone]]]] = defaultdict(dict)
    witnesses = WitnessCone.objects.filter(firing__called_off_at__isnull=True).select_related(
        "firing"
    )
    for row in witnesses.order_by("-firing__fired_on", "-firing__number", "id"):
        of_kiln = readings[row.firing.kiln_id]
        if row.firing_id not in of_kiln and len(of_kiln) == LATEST:
            continue
        _, reached = of_kiln.setdefault(row.firing_id, (Cone.of(row.firing.cone), []))
        reached.append(Cone.of(row.cone))
    return [
        KilnRow(kiln, *fired.get(kiln.pk, (0, None)), cones.drift(readings[kiln.pk].values()))
        for kiln in Kiln.objects.order_by("retired", "name")
    ]


def value_at(
    lines: Sequence[LineRow], *, firing: Firing, tier: PriceTier, tiers: Sequence[PriceTier],
    book: PriceBook,
) -> FiringValue:  # fmt: skip
    """Return what a firing is worth at a price list (no statement: all is handed in).

    Bisque is valued at the price of its forms; seconds at the list for seconds.
    """
    seconds_tier = next((each.pk for each in tiers if each.for_seconds), None)

    def price(line: FiringLine, tier_id: int | None) -> int | None:
        # No ware has the key 0: what is not glazed yet has its form's price.
        found = tier_id and book.find(line.ware_id or 0, line.shape.pk, tier_id)
        return found.amount if found else None

    loads = [
        Load(
            name=row.line.name,
            loaded=row.line.loaded,
            width_mm=row.line.shape.width_mm,
            price=price(row.line, tier.pk),
            seconds_price=price(row.line, seconds_tier),
            firsts=row.line.firsts,
            seconds=row.line.seconds,
            lost=row.line.lost,
        )
        for row in lines
    ]
    return value_of(loads, area_cm2=firing.kiln.shelf_area_cm2, hours=firing.hours)


def things_to_load(*, bisque: bool, beside: Iterable[FiringLine] = ()) -> list[Form | Ware]:
    """Return what can be loaded: forms for bisque, ware otherwise (three statements).

    What went into the latest firings comes first. `beside` are lines whose things are offered
    too, though they may have been retired since.
    """
    found: list[Form | Ware] = (
        list(Form.objects.filter(retired=False).order_by("name"))
        if bisque
        else list(Ware.objects.current().named())
    )
    known = {thing.pk for thing in found}
    extra = [line.thing for line in beside if line.thing_id not in known]
    latest = (
        Firing.objects.filter(kind=Firing.Kind.BISQUE)
        if bisque
        else Firing.objects.exclude(kind=Firing.Kind.BISQUE)
    )
    lately = set(
        FiringLine.objects.filter(firing__in=list(latest.values_list("pk", flat=True)[:LATELY]))
        .order_by()
        .values_list("form_id" if bisque else "ware_id", flat=True)
    )
    return sorted(extra + found, key=lambda thing: thing.pk not in lately)


def unloaded_pieces(firing: Firing) -> list[tuple[Ware, str, int]]:
    """Return ware, grade and pieces of what a firing brought to the shelf (one statement)."""
    pieces: Counter[tuple[Ware, str]] = Counter()
    for line in firing.lines.select_related("ware__form", "ware__finish").filter(
        ware__isnull=False, firsts__isnull=False
    ):
        assert line.ware is not None
        pieces[line.ware, str(Grade.FIRST)] += line.firsts or 0
        pieces[line.ware, str(Grade.SECOND)] += line.seconds or 0
    return [(ware, grade, quantity) for (ware, grade), quantity in pieces.items() if quantity]
