"""What is typed on the pages of what the studio makes. Parsing only; refusals are the actions'.

Measures are typed in the studio's own units and kept in whole millimetres and grams. A field that
still says what it said when the page was opened keeps its exact measure.
"""

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from vendor.house import changes, written
from vendor.house.models import Studio
from vendor.house.once import OnceForm, key_field
from vendor.ware import measures
from vendor.ware.models import MAX_MM, Finish, Form, Ware
from vendor.ware.profiles import PROFILES

MAX_GRAMS = 100_000


class CodeField(forms.CharField):
    """A code, in capital letters however it is typed; empty: suggested from the name."""

    def to_python(self, value: Any) -> str:
        """Return the code in capitals, without spaces at its ends."""
        return str(super().to_python(value) or "").upper()


class MeasureField(forms.CharField):
    """A length or weight in the studio's own unit, read into millimetres or grams."""

    def __init__(self, *, read: Callable[[str], int], most: int, told: str, **kwargs: Any) -> None:
        """`read` turns text into a whole number or raises NotAMeasure; `told` is an example."""
        super().__init__(max_length=measures.LONGEST, **kwargs)
        self._read, self._most, self._told = read, most, told
        self.shown: tuple[str, int] | None = None

    def show(self, text: str, exact: int) -> None:
        """Begin with a text that stands for an exact measure."""
        self.initial, self.shown = text, (text, exact)

    def clean(self, value: Any) -> int | None:
        """Return the measure, the exact one where the text was left as it was."""
        text = super().clean(value)
        if not text:
            return None
        if self.shown is not None and text == self.shown[0]:
            return self.shown[1]
        try:
            size = self._read(text)
        except measures.NotAMeasure:
            raise ValidationError(
                f"“{text}” can't be read. Write it such as {self._told}."
            ) from None
        if size > self._most:
            raise ValidationError("That is larger than any kiln; look at the unit.")
        return size


def _length_field(studio: Studio, label: str, help_text: str = "") -> MeasureField:
    inches = studio.units == Studio.Unit.INCH
    return MeasureField(
        label=label,
        help_text=help_text,
        read=lambda text: measures.read_length(text, inches=inches),
        most=MAX_MM,
        told="4 1/2 in or 4½" if inches else "11.5 or 115 mm",
    )


class FormForm(OnceForm[Form]):
    """A form with its measures."""

    code = CodeField(max_length=4, required=False, help_text="Left empty, made from the name.")
    profile = forms.ChoiceField(
        label="Drawn as",
        required=False,
        choices=[("", "as its name says"), *((name, name) for name in sorted(PROFILES))],
    )

    class Meta:
        model = Form
        fields = ("name", "code", "category", "profile", "retired")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        """Offer the measures in the studio's own units."""
        super().__init__(*args, **kwargs)
        pounds = studio.units == Studio.Unit.INCH
        self.fields["height"] = _length_field(studio, "Height, fired")
        self.fields["width"] = _length_field(
            studio, "Widest, fired", "Across its widest part: the room it takes."
        )
        self.fields["clay"] = MeasureField(
            label="Clay for one",
            required=False,
            read=lambda text: measures.read_weight(text, pounds=pounds),
            most=MAX_GRAMS,
            told="1 lb 2 oz" if pounds else "450 or 1.2 kg",
            help_text="Wet clay, in pounds and ounces." if pounds else "Wet clay, in grams.",
        )
        self.order_fields(["name", "code", "height", "width", "clay", "category", "profile"])
        form = self.instance
        if form.pk:
            self._show("height", written.length(form.height_mm, studio), form.height_mm)
            self._show("width", written.length(form.width_mm, studio), form.width_mm)
        if form.clay_g:
            self._show("clay", written.weight(form.clay_g, studio), form.clay_g)

    def _show(self, name: str, text: str, exact: int) -> None:
        field = self.fields[name]
        assert isinstance(field, MeasureField)
        field.show(text, exact)
        self.initial[name] = text

    def clean(self) -> dict[str, Any]:
        """Put the measures where the form keeps them."""
        said = super().clean() or {}
        self.instance.height_mm = said.get("height") or self.instance.height_mm or 1
        self.instance.width_mm = said.get("width") or self.instance.width_mm or 1
        if "clay" in said:
            self.instance.clay_g = said["clay"]
        return said


class FinishForm(OnceForm[Finish]):
    """A finish, with what is known of its contact with food."""

    code = CodeField(max_length=4, required=False, help_text="Left empty, made from the name.")

    class Meta:
        model = Finish
        fields = ("name", "code", "colour", "food_contact", "food_note", "retired")
        widgets = {
            "colour": forms.TextInput({"type": "color"}),
            "food_contact": forms.RadioSelect,
            "food_note": forms.Textarea({"rows": 3}),
        }

    def clean(self) -> dict[str, Any]:
        """Ask for the test where one is said to be on record."""
        said = super().clean() or {}
        tested = said.get("food_contact") == Finish.FoodContact.TESTED
        if tested and not (said.get("food_note") or "").strip():
            self.add_error(
                "food_note", "Say which laboratory tested it, when, and what was tested."
            )
        return said


class ManyForm(forms.Form):
    """Finishes in which one form is to be made."""

    finishes = forms.ModelMultipleChoiceField(
        queryset=Finish.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label="In which finishes",
    )

    def __init__(self, *args: Any, form: Form, **kwargs: Any) -> None:
        """Offer the finishes in which the form is not there yet."""
        super().__init__(*args, **kwargs)
        self.fields["key"] = key_field()
        there = Ware.objects.filter(form=form, one_of_a_kind=False).values("finish")
        finishes = self.fields["finishes"]
        assert isinstance(finishes, forms.ModelMultipleChoiceField)
        self.left = Finish.objects.filter(retired=False).exclude(pk__in=there)
        again = self.is_bound and changes.all_made(Ware, self["key"].value() or "")
        finishes.queryset = Finish.objects.all() if again else self.left


class WareForm(OnceForm[Ware]):
    """One ware: its code, a name and photo of its own."""

    code = CodeField(
        max_length=12, required=False, help_text="Left empty, made from its form and finish."
    )
    picture = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.ClearableFileInput({"accept": "image/jpeg,image/png,image/webp"}),
        help_text="JPEG, PNG or WebP. It is kept small, without the place where it was taken.",
    )

    class Meta:
        model = Ware
        fields = ("form", "finish", "own_name", "code", "one_of_a_kind", "note", "retired")
        widgets = {"note": forms.Textarea({"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Offer forms and finishes for new ware only: what is on tags keeps its shape."""
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["form"], self.fields["finish"]
            return
        for name, model in (("form", Form), ("finish", Finish)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = model._default_manager.filter(retired=False).order_by("name")
