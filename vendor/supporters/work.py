"""Reads for the work that promises ask for: what to make, what to send, what a firing can keep."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from vendor.firings.models import Firing
from vendor.ledger.models import Balance, Place
from vendor.supporters import making
from vendor.supporters.making import MakingList, Wanted
from vendor.supporters.models import Answer, Commitment, Question, Supporter
from vendor.ware.models import Grade, Ware


@dataclass(frozen=True, slots=True)
class ToSend:
    """The held pieces of one supporter: what goes into one parcel."""

    supporter: Supporter
    commitments: list[Commitment]

    @property
    def is_packed(self) -> bool:
        """Whether every piece is packed."""
        return all(each.state == Commitment.State.PACKED for each in self.commitments)


@dataclass(frozen=True, slots=True)
class Work:
    """What is to be made, what is in the making, and what waits for choices."""

    to_make: MakingList
    in_the_making: list[Commitment]
    waiting: list[Commitment]


@dataclass(frozen=True, slots=True)
class Keepable:
    """A ware of a firing: its free firsts and seconds on the studio shelf, and whom they suit."""

    ware: Ware
    firsts: int
    seconds: int
    exact: list[Commitment]
    near: list[Commitment]


def to_make() -> Work:
    """Return what open promises without a piece ask to be made (two statements).

    What waits on the supporter, or is in the making already, is told apart.
    """
    promises = list(
        Commitment.objects.without_a_piece()
        .named()
        .prefetch_related("answers__question")
        .order_by("due_on", "number")
    )
    making_now = [each for each in promises if each.state == Commitment.State.MAKING]
    waiting = [each for each in promises if each.state == Commitment.State.OWED and _waits(each)]
    ready = [each for each in promises if each not in making_now and each not in waiting]
    return Work(making.grouped(_wanted(each) for each in ready), making_now, waiting)


def to_send() -> list[ToSend]:
    """Return the held pieces by supporter, the one that is due first in front.

    A commission is sold when it goes out: it is not among them.
    """
    held = (
        Commitment.objects.with_a_piece()
        .filter(price__isnull=True)
        .select_related(
            "supporter", "hold__place", "hold__ware__form", "hold__ware__finish", "ware__form",
            "ware__finish", "form", "finish", "reward",
        )
        .prefetch_related("answers__question")
        .order_by("due_on", "number")
    )  # fmt: skip
    by_supporter: dict[int, list[Commitment]] = defaultdict(list)
    for each in held:
        by_supporter[each.supporter_id].append(each)
    return [ToSend(group[0].supporter, group) for group in by_supporter.values()]


def keepable(firing: Firing) -> list[Keepable]:
    """Return which owed promises the pieces of an unloaded firing could keep (three statements).

    Exact ones are of the same ware; near ones of the same form in another finish, or in none yet.
    """
    lines = firing.lines.filter(ware__isnull=False, firsts__isnull=False)
    named = lines.select_related("ware__form", "ware__finish")
    # One ware may come from several batches.
    wares = list({line.ware_id: line.ware for line in named if line.ware}.values())
    free: Counter[tuple[int, str]] = Counter()
    for row in Balance.objects.filter(place__kind=Place.Kind.STUDIO, ware__in=wares):
        free[row.ware_id, row.grade] = row.free
    owed = list(Commitment.objects.without_a_piece().named().order_by("due_on", "number"))
    found = []
    for ware in wares:
        firsts, seconds = free[ware.pk, Grade.FIRST], free[ware.pk, Grade.SECOND]
        suits = [each for each in owed if firsts or (seconds and each.seconds_allowed)]
        exact = [each for each in suits if each.ware_id == ware.pk]
        near = [each for each in suits if _is_near(each, ware)]
        if exact or near:
            found.append(Keepable(ware, firsts, seconds, exact, near))
    return sorted(found, key=lambda each: not each.exact)


def _is_near(promise: Commitment, ware: Ware) -> bool:
    shape = promise.shape
    return promise.ware_id != ware.pk and shape is not None and shape.pk == ware.form_id


def _waits(promise: Commitment) -> bool:
    return promise.reward_id is not None and promise.known_on is None


def _wanted(promise: Commitment) -> Wanted:
    answers = list(promise.answers.all())
    glaze, shape = promise.glaze, promise.shape
    return Wanted(
        number=promise.number,
        form=shape.name if shape else str(promise.reward),
        finish=glaze.name if glaze else "",
        options=tuple(_pairs(answers, Question.Kind.OPTION)),
        lettering=tuple(text for _, text in _pairs(answers, Question.Kind.LETTERING)),
        note=promise.choices,
        due_on=promise.due_on,
        clay_g=shape.clay_g if shape else None,
    )


def _pairs(answers: Iterable[Answer], kind: str) -> list[tuple[str, str]]:
    return [(each.question.name, each.text) for each in answers if each.question.kind == kind]
