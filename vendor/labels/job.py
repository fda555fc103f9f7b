"""A printing job: which tags, of what kind, on which sheet; and the words that stand on them.

The one home of how a piece is worded on a tag, for a preview, a first print and a later one.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, repeat
from typing import IO

from vendor.firings.models import Firing
from vendor.house import written
from vendor.house.errors import Refused
from vendor.house.models import Studio
from vendor.house.typeface import missing_glyphs
from vendor.labels import queries
from vendor.labels.models import Kind, LabelPrinter, LabelSheet, PrintRun, Symbol, TagDress
from vendor.labels.pdf import write_tags
from vendor.labels.tags import (
    NOT_FOR_FOOD,
    BasketText,
    RewardText,
    Shape,
    SlipText,
    Tag,
    TagText,
)
from vendor.ledger.models import Hold
from vendor.supporters.models import Commitment
from vendor.ware.models import Finish, Grade, Ware

TAX_INCLUDED = "tax included"
SHAPES: dict[str, Shape] = {Kind.HANG: Shape.HANG, Kind.FOLD: Shape.FOLD}


@dataclass(frozen=True, slots=True)
class Item:
    """So many tags of one piece. `price` (minor units, at `tier_id`) is None where none is said."""

    quantity: int
    ware: Ware | None = None
    grade: str = Grade.FIRST
    price: int | None = None
    tier_id: int | None = None
    hold: Hold | None = None
    firing_id: int | None = None
    words: str = ""

    @property
    def name(self) -> str:
        """What the tags are for, in words."""
        if self.ware is None:
            return self.words
        name = queries.named(self.ware, self.grade)
        return f"{name}: {self.hold.label}" if self.hold else name


@dataclass(frozen=True, slots=True)
class Job:
    """All that is chosen for one print."""

    kind: str
    symbol: str
    sheet: LabelSheet
    printer: LabelPrinter
    items: Sequence[Item]
    start: int = 1
    tax_said: bool = False
    names_said: bool = False
    offer_count: int | None = None
    offer_price: int | None = None
    source: str = ""

    @property
    def count(self) -> int:
        """How many tags there are."""
        return sum(item.quantity for item in self.items)


class NoNumber(Refused):
    """Tags were to carry article numbers, and some of the ware has none."""


def job_of(run: PrintRun) -> Job:
    """Return the job that a print run was (two statements)."""
    tags = run.tags.select_related("ware__form", "ware__finish", "hold")
    items = [
        Item(
            tag.quantity,
            tag.ware,
            tag.grade,
            tag.price,
            tag.tier_id,
            tag.hold,
            tag.firing_id,
            tag.words,
        )
        for tag in tags
    ]
    names = ("kind", "symbol", "start", "tax_said", "names_said", "offer_count", "offer_price")
    said = {name: getattr(run, name) for name in names}
    return Job(sheet=run.sheet, printer=run.printer, items=items, source=run.source, **said)


def tags_of(job: Job, *, studio: Studio, dress: TagDress) -> Iterator[Tag]:
    """Give the tags of a job in the order in which they are printed (two statements at most).

    Refuses (NoNumber) at once, before the first.
    """
    wording = _Wording(job, studio, dress)
    tags = [(wording.tag(each), each.quantity) for each in job.items]
    wording.refuse_without()
    return chain.from_iterable(repeat(tag, quantity) for tag, quantity in tags)


def write_pdf(job: Job, *, studio: Studio, dress: TagDress, target: IO[bytes]) -> None:
    """Write a job's tags as a PDF."""
    tags = tags_of(job, studio=studio, dress=dress)
    write_tags(tags, job.sheet.sheet, job.printer.printing, target=target, start=job.start)


class _Wording:
    """Puts the pieces of one job into words."""

    def __init__(self, job: Job, studio: Studio, dress: TagDress) -> None:
        self._job, self._studio, self._dress = job, studio, dress
        self._maker = "" if dress.maker == TagDress.Maker.NONE else studio.name
        self._picture = dress.picture
        self._numbers = queries.numbers() if job.symbol == Symbol.NUMBER else {}
        self._without: set[str] = set()
        self._names: Mapping[int, str] = {}
        if job.names_said:
            self._names = _first_names([item.hold.pk for item in job.items if item.hold])
        self._firings: Mapping[int, str] = {}
        if job.kind == Kind.SLIP:
            self._firings = _firings({item.firing_id for item in job.items if item.firing_id})

    def tag(self, item: Item) -> Tag:
        """Return the tag of a piece."""
        if item.ware is None:
            return self._slip(item)
        if item.hold is not None:
            return self._reward(item.ware, item.hold)
        assert item.price is not None
        if self._job.kind == Kind.TALKER:
            return self._basket(item, item.ware, item.price)
        return self._price(item, item.ware, item.price)

    def refuse_without(self) -> None:
        """Refuse (NoNumber) pieces whose article number is to be printed and isn't there."""
        if self._without:
            named = ", ".join(sorted(self._without))
            raise NoNumber(
                f"There is no article number for: {named}. Nothing was printed. Give them one on "
                "the page of article numbers, or print the bars of the ware's code."
            )

    def _slip(self, item: Item) -> SlipText:
        count, _, pieces = item.words.partition(" × ")
        return SlipText(pieces, count, self._firings.get(item.firing_id or 0, ""), self._maker)

    def _basket(self, item: Item, ware: Ware, price: int) -> BasketText:
        name, finish = _called(ware)
        each = printable_money(price, self._studio)
        offer = ""
        if self._job.offer_count and self._job.offer_price:
            together = printable_money(self._job.offer_price, self._studio)
            offer = f"{self._job.offer_count} for {together}"
        return BasketText(
            name,
            each,
            offer + (f" · {TAX_INCLUDED}" if offer and self._job.tax_said else ""),
            finish + (f" · {TAX_INCLUDED}" if not offer and self._job.tax_said else ""),
            self._code(ware, item.grade),
            _caution(ware),
            self._maker,
            self._job.symbol,
            self._picture,
        )

    def _reward(self, ware: Ware, hold: Hold) -> RewardText:
        name, finish = _called(ware)
        return RewardText(
            name,
            self._names.get(hold.pk, hold.label),
            finish=finish,
            caution=_caution(ware),
            studio=self._maker,
            shape=self._shape,
            picture=self._picture,
        )

    def _price(self, item: Item, ware: Ware, price: int) -> TagText:
        name, finish = _called(ware)
        if self._job.tax_said:
            finish = f"{finish} · {TAX_INCLUDED}" if finish else TAX_INCLUDED
        return TagText(
            name,
            printable_money(price, self._studio),
            self._code(ware, item.grade),
            finish,
            "Second" if item.grade == Grade.SECOND else "",
            _caution(ware),
            self._maker,
            self._dress.care,
            self._job.symbol,
            self._shape,
            self._picture,
        )

    @property
    def _shape(self) -> Shape:
        return SHAPES.get(self._job.kind, Shape.FLAT)

    def _code(self, ware: Ware, grade: str) -> str:
        if self._job.symbol == Symbol.NONE:
            return ""
        if self._job.symbol != Symbol.NUMBER:
            return queries.code_on_tag(ware.code, grade)
        number = self._numbers.get((ware.pk, grade), "")
        if not number:
            self._without.add(queries.named(ware, grade))
        return number


def printable_money(minor: int, studio: Studio) -> str:
    """Return an amount as it stands on a tag: “$34.00”; “ILS 34.00” where there is no such sign.

    The typeface lacks the signs of a few currencies.
    """
    text = written.money(minor, studio)
    if missing_glyphs(text):
        return f"{studio.currency} {written.bare_money(minor, studio)}"
    return text


def _called(ware: Ware) -> tuple[str, str]:
    """Return a ware's name on a tag, and its finish where the name doesn't say it."""
    if ware.own_name:
        return ware.own_name, ""
    return ware.form.name, ware.finish.name


def _caution(ware: Ware) -> str:
    not_for_food = ware.finish.food_contact == Finish.FoodContact.NOT_FOR_FOOD
    return NOT_FOR_FOOD if not_for_food else ""


def _first_names(holds: Sequence[int]) -> dict[int, str]:
    """Return the first name of the supporter that each hold is for (one statement)."""
    promises = Commitment.objects.filter(hold_id__in=holds).select_related("supporter")
    return {each.hold_id: each.supporter.first_name for each in promises if each.hold_id}


def _firings(keys: Iterable[int]) -> dict[int, str]:
    """Return what a kiln-shelf slip says of each firing (one statement)."""
    return {
        each.pk: f"{each}, cone {each.cone}, {each.kiln}"
        for each in Firing.objects.filter(pk__in=list(keys)).select_related("kiln")
    }
