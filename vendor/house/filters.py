"""What narrows a list: words to find, one of several choices, a stretch of days.

Each works on a QuerySet (in the database) and on rows in memory alike. Whatever an address says
that is not on offer is passed over, never an error: an old bookmark still shows its list.
"""

import dataclasses
import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db.models import Q, QuerySet
from django.utils import timezone
from django_tables2 import A

Rows = Any
"""A QuerySet or a list: mypy can't tell them apart where both do."""

LONGEST_SEARCH = 100
MOST_WORDS = 8
_YEARS = range(1900, 2200)


@dataclass(frozen=True)
class Offer:
    """One choice of a filter on the page."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True)
class Input:
    """A field of a filter on the page: a list of offers, or a day."""

    name: str
    label: str
    kind: str
    value: str = ""
    offers: tuple[Offer, ...] = ()


Keep = Q | Callable[[Any], bool]


@dataclass(frozen=True)
class Choice:
    """One of several: the values of a field, or named conditions of one's own.

        Choice("finish", "Finish", field="finish__name")            what there is, in order
        Choice("grade", "Grade", field="grade", choices=Grade.choices)
        Choice("held", "Promised", options={"yes": ("Held pieces", Q(held__gt=0))})

    Without `choices` a field's values are read from the list itself (one query on a QuerySet).
    An option's condition is a Q for a QuerySet, a function of a row for rows in memory.
    """

    name: str
    label: str
    field: str = ""
    choices: Sequence[tuple[Any, Any]] = ()
    options: Mapping[str, tuple[str, Keep]] = dataclasses.field(default_factory=dict)

    def offered(self, rows: Rows) -> dict[str, tuple[str, Keep]]:
        """Return each value with its label and what it keeps."""
        if self.options:
            return dict(self.options)
        pairs = self.choices or [(value, value) for value in self._values(rows)]
        return {str(value): (str(label), self._keep(value, rows)) for value, label in pairs}

    def _values(self, rows: Rows) -> list[Any]:
        if isinstance(rows, QuerySet):
            found = set(rows.order_by().values_list(self.field, flat=True).distinct())
        else:
            found = {A(self.field).resolve(row, quiet=True) for row in rows}
        return sorted(found - {None, ""}, key=lambda value: str(value).casefold())

    def _keep(self, value: Any, rows: Rows) -> Keep:
        if isinstance(rows, QuerySet):
            return Q(**{self.field: value})
        accessor = A(self.field)
        return lambda row: str(accessor.resolve(row, quiet=True)) == str(value)

    def narrow(self, rows: Rows, asked: Mapping[str, str]) -> tuple[Rows, list[Input], bool]:
        """Return the rows kept, the field to show, and whether anything was chosen."""
        offered = self.offered(rows)
        chosen = asked.get(self.name, "")
        offers = tuple(Offer(value, told[0], value == chosen) for value, told in offered.items())
        shown = [Input(self.name, self.label, "choice", chosen, offers)]
        if chosen not in offered:
            return rows, shown, False
        return _kept(rows, offered[chosen][1]), shown, True


@dataclass(frozen=True)
class Days:
    """A stretch of days of a date or an aware moment (in the studio's time zone).

    `moments=True` says that the field of a QuerySet holds moments.
    """

    name: str
    label: str
    field: str
    moments: bool = False

    def narrow(self, rows: Rows, asked: Mapping[str, str]) -> tuple[Rows, list[Input], bool]:
        """Return the rows kept, the two fields to show, and whether any day was given."""
        first, last = (_day(asked.get(f"{self.name}_{end}", "")) for end in ("from", "to"))
        shown = [
            Input(f"{self.name}_from", f"{self.label} from", "day", str(first or "")),
            Input(f"{self.name}_to", f"{self.label} up to", "day", str(last or "")),
        ]
        if isinstance(rows, QuerySet):
            return rows.filter(self._condition(first, last)), shown, bool(first or last)
        accessor = A(self.field)

        def within(row: Any) -> bool:
            day = _calendar_day(accessor.resolve(row, quiet=True))
            return day is not None and (first or day) <= day <= (last or day)

        if first or last:
            rows = [row for row in rows if within(row)]
        return rows, shown, bool(first or last)

    def _condition(self, first: datetime.date | None, last: datetime.date | None) -> Q:
        condition = Q()
        if first:
            condition &= Q(**{f"{self.field}__gte": _start(first) if self.moments else first})
        if last and self.moments:
            condition &= Q(**{f"{self.field}__lt": _start(last + datetime.timedelta(1))})
        elif last:
            condition &= Q(**{f"{self.field}__lte": last})
        return condition


Filter = Choice | Days


def find(rows: Rows, fields: Iterable[str], text: str) -> Rows:
    """Return the rows in which every word of a text stands in one of the fields."""
    words = text.split()[:MOST_WORDS]
    if not words:
        return rows
    if isinstance(rows, QuerySet):
        for word in words:
            anywhere = Q()
            for name in fields:
                anywhere |= Q(**{f"{name}__icontains": word})
            if any(_leads_to_many(rows.model, name) for name in fields):
                # Through a join a row would come, and count, once for each that matches.
                anywhere = Q(pk__in=rows.order_by().filter(anywhere).values("pk"))
            rows = rows.filter(anywhere)
        return rows
    accessors = [A(name) for name in fields]

    def holds(row: Any) -> bool:
        told = "\n".join(str(a.resolve(row, quiet=True) or "") for a in accessors).casefold()
        return all(word.casefold() in told for word in words)

    return [row for row in rows if holds(row)]


def _leads_to_many(model: Any, path: str) -> bool:
    """Tell whether a field's path goes from one row to several; an annotation's never does."""
    for name in path.split("__"):
        try:
            field = model._meta.get_field(name)
        except FieldDoesNotExist:
            return False
        if field.one_to_many or field.many_to_many:
            return True
        model = field.related_model
    return False


def _kept(rows: Rows, keep: Keep) -> Rows:
    if isinstance(keep, Q):
        return rows.filter(keep)
    return [row for row in rows if keep(row)]


def _day(text: str) -> datetime.date | None:
    """Return the day of an ISO 8601 date, or None where it is none or absurdly far away."""
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        return None
    return day if day.year in _YEARS else None


def _calendar_day(value: Any) -> datetime.date | None:
    if isinstance(value, datetime.datetime):
        return timezone.localtime(value).date()
    return value if isinstance(value, datetime.date) else None


def _start(day: datetime.date) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time()))
