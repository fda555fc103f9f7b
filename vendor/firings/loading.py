"""What is typed when a kiln is loaded: how many pieces of each ware or form, and of which batch.

Parsing only; what a firing refuses is in `actions`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField

from vendor.firings.actions import Load, Spot
from vendor.firings.boards import Ready
from vendor.firings.models import MAX_PIECES
from vendor.house.fields import pieces_field
from vendor.ware.models import Form, Ware


@dataclass(frozen=True, slots=True)
class FromBatch:
    """A batch that a firing can take, with a field for each thing that it can become there."""

    ready: Ready
    rows: list[tuple[Form | Ware, BoundField]]

    @property
    def is_chosen(self) -> bool:
        """Whether a number stands in one of its fields."""
        return any(field.value() or field.errors for _, field in self.rows)


class LoadsForm(forms.Form):
    """How many pieces of each ware (or form) went in; what is left empty did not."""

    def __init__(
        self, *args: Any, things: Sequence[Form | Ware], ready: Sequence[Ready] = (),
        loaded: Mapping[Spot, int] | None = None, **kwargs: Any,
    ) -> None:  # fmt: skip
        """Offer a count for each thing, of each batch that it can come from and of none."""
        super().__init__(*args, **kwargs)
        self.things, self.ready = things, ready
        before = loaded or {}
        for each in ready:
            for thing in self._becomes(each):
                name = f"{thing.name}, from {str(each.batch).lower()}"
                self._offer(_name(thing, each), name, before.get((thing.pk, each.batch.pk)))
        for thing in things:
            self._offer(_name(thing), thing.name, before.get((thing.pk, None)))

    def _offer(self, name: str, label: str, before: int | None) -> None:
        self.fields[name] = pieces_field(label, most=MAX_PIECES, initial=before)

    def _becomes(self, ready: Ready) -> list[Form | Ware]:
        """Return what pieces of a batch can be loaded as."""
        return [thing for thing in self.things if _shape(thing).pk == ready.batch.form_id]

    @property
    def shapes(self) -> list[Form]:
        """The forms of what is offered: they are drawn to one scale."""
        return [_shape(thing) for thing in self.things]

    @property
    def total(self) -> int:
        """The pieces loaded so far."""
        if self.is_bound and not self.is_valid():
            return 0
        if self.is_bound:
            return sum(load.loaded for load in self.loads())
        return sum(field.initial or 0 for field in self.fields.values())

    def from_batches(self) -> list[FromBatch]:
        """Return each batch with its fields."""
        return [
            FromBatch(each, [(thing, self[_name(thing, each)]) for thing in self._becomes(each)])
            for each in self.ready
        ]

    def rows(self) -> Iterable[tuple[Form | Ware, BoundField]]:
        """Return each thing with its field for pieces of no batch."""
        return ((thing, self[_name(thing)]) for thing in self.things)

    def loads(self) -> list[Load]:
        """Return what was loaded."""
        said = self.cleaned_data
        loads = [
            Load(thing.pk, said.get(_name(thing, each)) or 0, each.batch.pk)
            for each in self.ready
            for thing in self._becomes(each)
        ]
        loads += [Load(thing.pk, said.get(_name(thing)) or 0) for thing in self.things]
        return [load for load in loads if load.loaded]


def _shape(thing: Form | Ware) -> Form:
    return thing.form if isinstance(thing, Ware) else thing


def _name(thing: Form | Ware, ready: Ready | None = None) -> str:
    """Return the name of the field of a thing, of a batch or of none."""
    return f"batch-{ready.batch.pk}-{thing.pk}" if ready else f"load-{thing.pk}"
