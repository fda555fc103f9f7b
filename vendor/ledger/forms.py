"""What is typed on the Shelf pages: pieces by ware and grade, where, whereto and why.

Parsing only; what the ledger refuses is in its actions.
"""

import datetime
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from vendor.house.fields import pieces_field
from vendor.house.models import User, new_key
from vendor.ledger import places
from vendor.ledger.actions import REMOVALS, Counted, Line, open_place, the_place
from vendor.ledger.models import Entry, Place
from vendor.ledger.spots import MOST, Spot
from vendor.ledger.story import SHELF_KEY
from vendor.ware.models import Form


class PiecesForm(forms.Form):
    """So many pieces of each ware and grade; what is left empty is not touched."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=40)
    beside: tuple[str, ...] = ()
    """The fields shown above the pieces."""
    folded: tuple[str, ...] = ()
    """The fields that are seldom needed."""
    per_line = True

    def __init__(self, *args: Any, spots: Sequence[Spot], **kwargs: Any) -> None:
        """Offer a field for each spot."""
        kwargs["initial"] = {"key": new_key(), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.spots = spots
        for spot in spots:
            # The ledger itself refuses more than there is, by name: a page sent again, when its
            # pieces have gone already, must reach it to be answered as before.
            field = pieces_field(spot.label, most=MOST)
            if spot.at_most is not None:
                field.widget.attrs["max"] = spot.at_most
            self.fields[spot.name] = field

    def head(self) -> list[BoundField]:
        """Return the fields above the pieces."""
        return [self[name] for name in self.beside]

    def fold(self) -> list[BoundField]:
        """Return the fields that are seldom needed."""
        return [self[name] for name in self.folded]

    def firsts(self) -> list[tuple[Spot, BoundField]]:
        """Return each first with its field."""
        return [(spot, self[spot.name]) for spot in self.spots if not spot.is_second]

    def seconds(self) -> list[tuple[Spot, BoundField]]:
        """Return each second with its field."""
        return [(spot, self[spot.name]) for spot in self.spots if spot.is_second]

    def shapes(self) -> list[Form]:
        """Return the forms of the pieces: they are drawn to one scale."""
        return [spot.ware.form for spot in self.spots]

    def total(self) -> int:
        """Return the pieces entered so far."""
        said = getattr(self, "cleaned_data", {})
        return sum(said.get(spot.name) or 0 for spot in self.spots)

    def ledger_key(self) -> str:
        """Return the key of the entry that this page makes."""
        return f"{SHELF_KEY}{self.cleaned_data['key']}"

    def lines(self) -> list[Line]:
        """Return the pieces that were entered."""
        said = ((spot, self.cleaned_data.get(spot.name)) for spot in self.spots)
        return [Line(spot.ware.pk, pieces, spot.grade) for spot, pieces in said if pieces]

    def clean(self) -> dict[str, Any]:
        """Refuse a page on which not a single piece was entered."""
        said = super().clean() or {}
        fields = [spot.name for spot in self.spots]
        if self.per_line and not any(said.get(name) or name in self.errors for name in fields):
            raise ValidationError(
                "No line has a piece. Nothing was changed: enter at least one number."
            )
        return said


class _InPlaceForm(PiecesForm):
    """Pieces that come in at a place."""

    place = forms.ChoiceField(label="Where they are")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer all places where ware can stand."""
        super().__init__(*args, **kwargs)
        place = self.fields["place"]
        assert isinstance(place, forms.ChoiceField)
        place.choices = places.offered()

    def clean_place(self) -> Place:
        """Return the place itself."""
        found = places.of(self.cleaned_data["place"])
        if found is None:
            raise ValidationError("This place is not there any more. Choose another.")
        return found


class OpeningForm(_InPlaceForm):
    """What stands there already when one begins to keep count."""

    beside = ("place",)


class FoundForm(_InPlaceForm):
    """Pieces that turned up though nobody knew them."""

    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")
    beside = ("place", "reason")


class MoveForm(PiecesForm):
    """Free pieces that go to another place; a gallery may be named in place."""

    target = forms.ChoiceField(label="Where to", required=False)
    new_gallery = forms.CharField(label="Or a gallery that is not listed yet", max_length=80)
    reason = forms.CharField(label="Note", max_length=200, required=False)
    beside = ("target",)
    folded = ("new_gallery", "reason")

    def __init__(self, *args: Any, source: Place, **kwargs: Any) -> None:
        """Offer the other places."""
        super().__init__(*args, **kwargs)
        self.source = source
        here = places.value_of(source)
        target = self.fields["target"]
        assert isinstance(target, forms.ChoiceField)
        others = [row for row in places.offered(places.OWN) if row[0] != here]
        target.choices = [("", "Choose a place"), *others]
        self.fields["new_gallery"].required = False

    def clean(self) -> dict[str, Any]:
        """Settle on one place: the one chosen, or the gallery that is named anew."""
        said = super().clean()
        if not said.get("target") and not said.get("new_gallery"):
            self.add_error("target", "Choose where to, or name a new gallery.")
        named = said.get("new_gallery")
        taken = Place.objects.filter(name__iexact=named).first() if named else None
        if taken is not None and (taken.kind != Place.Kind.GALLERY or taken == self.source):
            self.add_error("new_gallery", f"“{named}” is another place already.")
        return said

    def place(self, *, who: User, now: datetime.datetime) -> Place:
        """Return the place to move to, making a gallery that was named."""
        named = self.cleaned_data["new_gallery"]
        if named:
            return open_place(name=named, kind=Place.Kind.GALLERY, who=who, now=now)
        found = places.of(self.cleaned_data["target"], places.OWN)
        return found or the_place(Place.Kind.STUDIO)


class OutForm(PiecesForm):
    """Pieces that leave unsold."""

    to = forms.ChoiceField(
        label="What became of them",
        choices=[(str(kind), Place.Kind(kind).label) for kind in REMOVALS],
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")
    beside = ("to", "reason")


class CountForm(PiecesForm):
    """What was counted; each line remembers what was recorded when the page was opened."""

    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")
    beside = ("reason",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer a count for each spot."""
        super().__init__(*args, **kwargs)
        for spot in self.spots:
            self.fields[f"seen-{spot.name}"] = forms.IntegerField(
                widget=forms.HiddenInput, required=False, min_value=0, initial=spot.on_hand
            )

    per_line = False

    def hidden(self) -> list[BoundField]:
        """Return what each line remembers."""
        return [self[f"seen-{spot.name}"] for spot in self.spots]

    def clean(self) -> dict[str, Any]:
        """Refuse a page without a count, and a line that has changed since it was opened."""
        said = super().clean()
        counted = [spot for spot in self.spots if said.get(spot.name) is not None]
        if Entry.objects.filter(key=f"{SHELF_KEY}{said.get('key')}").exists():
            return said  # sent again: the ledger answers as before, or says what differs
        if not counted and not any(spot.name in self.errors for spot in self.spots):
            raise ValidationError("Nothing was counted. Nothing was changed: enter a number.")
        for spot in counted:
            if said.get(f"seen-{spot.name}") != spot.on_hand:
                self.add_error(
                    spot.name,
                    f"{spot.on_hand} are recorded now: it changed after this page was opened. "
                    "Count this one again.",
                )
        return said

    def counts(self) -> list[Counted]:
        """Return what was counted."""
        said = ((spot, self.cleaned_data.get(spot.name)) for spot in self.spots)
        return [Counted(spot.ware.pk, n, spot.grade) for spot, n in said if n is not None]


class ReverseForm(forms.Form):
    """Why an entry is undone."""

    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")
