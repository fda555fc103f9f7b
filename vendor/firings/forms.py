"""What is typed of a firing as a whole, of a kiln, and of which losses to look at.

Parsing only; what a firing refuses is in `actions`.
"""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from vendor.firings import areas
from vendor.firings.actions import Facts
from vendor.firings.fields import ConeField
from vendor.firings.models import Firing, Kiln
from vendor.house.models import new_key
from vendor.house.once import OnceForm
from vendor.house.widgets import DayInput

FURTHEST = datetime.timedelta(days=366)
"""A firing is dated at most so far from today: further off it is a slip of the keys."""


class FactsForm(forms.Form):
    """What is said of a firing as a whole. A new kiln is named in place."""

    key = forms.CharField(widget=forms.HiddenInput, max_length=64)
    kiln = forms.ModelChoiceField(queryset=Kiln.objects.none(), required=False)
    new_kiln = forms.CharField(
        label="Or a kiln that is not listed yet",
        max_length=60,
        required=False,
        help_text="Its name is enough; shelf area and notes can follow under Kilns.",
    )
    kind = forms.ChoiceField(choices=Firing.Kind.choices)
    cone = ConeField(
        label="Cone aimed at", max_length=12, help_text="022 … 01, 1 … 14; halves such as 5½."
    )
    fired_on = forms.DateField(label="Fired on", widget=DayInput)
    programmed_cone = ConeField(
        label="Cone programmed",
        max_length=12,
        required=False,
        help_text="Where the controller is set to another cone than the one aimed at.",
    )
    hours = forms.IntegerField(
        label="Hours",
        required=False,
        min_value=1,
        max_value=240,
        help_text="From switching on to unloading, for the value by hour.",
    )
    note = forms.CharField(required=False, max_length=2000, widget=forms.Textarea({"rows": 3}))

    def __init__(
        self, *args: Any, bisque: bool, today: datetime.date, firing: Firing | None = None,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        """Offer the kilns that are fired now, and what the firing (or the last one) says."""
        kwargs["initial"] = _initial(bisque, today, firing)
        super().__init__(*args, **kwargs)
        self.bisque, self.today = bisque, today
        kilns = Kiln.objects.filter(retired=False)
        if firing is not None:
            kilns |= Kiln.objects.filter(pk=firing.kiln_id)
        kiln, kind = self.fields["kiln"], self.fields["kind"]
        assert isinstance(kiln, forms.ModelChoiceField)
        assert isinstance(kind, forms.ChoiceField)
        kiln.queryset = kilns.order_by("name")
        self.has_kilns = kiln.queryset.exists()
        if bisque:
            kind.choices = [(Firing.Kind.BISQUE, "Bisque")]
            kind.widget = forms.HiddenInput()
        else:
            kind.choices = [row for row in Firing.Kind.choices if row[0] != Firing.Kind.BISQUE]

    def clean_fired_on(self) -> datetime.date:
        """Refuse a day that is more than a year off."""
        day: datetime.date = self.cleaned_data["fired_on"]
        if abs(day - self.today) > FURTHEST:
            raise ValidationError("That day is more than a year away; look at the year.")
        return day

    def clean(self) -> dict[str, Any]:
        """Settle on one kiln: the one chosen, or the one that is named anew."""
        said = super().clean() or {}
        named = said.get("new_kiln")
        if named:
            known = Kiln.objects.filter(name__iexact=named).first()
            said["kiln"] = known or Kiln(name=named)
        elif not said.get("kiln") and "kiln" not in self.errors:
            self.add_error("kiln", "Choose a kiln, or name a new one.")
        return said

    def facts(self) -> Facts:
        """Return what was said."""
        said = self.cleaned_data
        return Facts(
            kiln=said["kiln"],
            kind=said["kind"],
            cone=said["cone"],
            fired_on=said["fired_on"],
            programmed_cone=said["programmed_cone"],
            hours=said["hours"],
            note=said["note"],
        )


def _initial(bisque: bool, today: datetime.date, firing: Firing | None) -> dict[str, Any]:
    """Return what a firing says, or for a new one what the last of its kind said."""
    if firing is not None:
        names = ("kiln", "kind", "cone", "fired_on", "programmed_cone", "hours", "note")
        return {"key": firing.key, **{name: getattr(firing, name) for name in names}}
    start: dict[str, Any] = {"key": new_key(), "fired_on": today}
    start["kind"] = Firing.Kind.BISQUE if bisque else Firing.Kind.GLAZE
    last = Firing.objects.filter(kind=start["kind"], kiln__retired=False).first()
    if last is not None:
        start |= {"kiln": last.kiln_id, "cone": last.cone, "programmed_cone": last.programmed_cone}
    return start


class LossesForm(forms.Form):
    """Which firings the losses are counted over."""

    kind = forms.ChoiceField(choices=[("", "all kinds"), *Firing.Kind.choices], required=False)
    kiln = forms.ModelChoiceField(
        queryset=Kiln.objects.order_by("name"), required=False, empty_label="all kilns"
    )
    since = forms.DateField(label="Fired since", required=False, widget=DayInput)


class KilnForm(OnceForm[Kiln]):
    """A kiln, its shelf area in the studio's own units."""

    area = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=150_000,
        help_text="All shelves together, for the value by area; empty where not measured.",
    )

    class Meta:
        model = Kiln
        fields = ("name", "note", "retired")
        widgets = {"note": forms.Textarea({"rows": 3})}

    def __init__(self, *args: Any, inches: bool, **kwargs: Any) -> None:
        """Offer the area in square inches or square centimetres."""
        super().__init__(*args, **kwargs)
        self.inches = inches
        self.order_fields(["name", "area", "note", "retired"])
        area = self.fields["area"]
        area.label = f"Shelf area ({'sq in' if inches else 'cm²'})"
        area.initial = areas.shown(self.instance.shelf_area_cm2, inches=inches)

    def kiln(self) -> Kiln:
        """Return the kiln with what was typed, not saved yet."""
        area = self.cleaned_data["area"]
        self.instance.shelf_area_cm2 = areas.stored(area, inches=self.inches)
        return self.instance
