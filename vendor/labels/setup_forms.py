"""What is typed about sheets and printers. Lengths in millimetres or inches."""

from typing import Any

from django import forms

from vendor.house import changes
from vendor.house.once import key_field
from vendor.labels.lengths import shown, typed
from vendor.labels.models import LabelPrinter, LabelSheet
from vendor.labels.proof import INCH_RULE, MM_RULE
from vendor.labels.scale import TRUE
from vendor.labels.sheets import PAPERS, Sheet


class LengthField(forms.Field):
    """A length on paper, kept in micrometres."""

    in_inch = False
    widget = forms.TextInput

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def to_python(self, value: Any) -> Any:
        """Return micrometres, or None for nothing."""
        text = str(value or "").strip()[:40]
        if not text:
            return None
        try:
            return typed(text, in_inch=self.in_inch)
        except ValueError:
            example = "2 5/8 or 2.625" if self.in_inch else "63.5"
            raise forms.ValidationError(
                f"“{text}” can't be read as a length: write it like {example}."
            ) from None

    def prepare_value(self, value: Any) -> Any:
        """Return micrometres as they would be typed."""
        return shown(value, in_inch=self.in_inch) if isinstance(value, int) else value


class _Lengths(forms.Form):
    """A form whose lengths are all in one unit; it travels along, as what is typed is in it."""

    unit = forms.ChoiceField(choices=[("mm", "mm"), ("in", "in")], widget=forms.HiddenInput)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["unit"] = unit
        said = self.data.get("unit", unit) if self.is_bound else unit
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.in_inch = said == "in"


class SheetForm(_Lengths):
    """A sheet's numbers, as measured with a ruler from its top left corner."""

    layout = "two"
    note = forms.CharField(
        label="Your own word for it",
        max_length=60,
        required=False,
        help_text="To tell it from others; it may stay empty.",
    )
    paper = forms.ChoiceField(
        choices=[
            *((name, name) for name in PAPERS),
            ("roll", "A roll: one label after another"),
            ("other", "Another size"),
        ]
    )
    paper_width = LengthField(label="Paper, width", required=False, help_text="Another size only.")
    paper_height = LengthField(
        label="Paper, height", required=False, help_text="Another size only."
    )
    columns = forms.IntegerField(label="Labels across", min_value=1, max_value=1000)
    rows = forms.IntegerField(label="Labels down", min_value=1, max_value=1000)
    label_width = LengthField(label="Label, width")
    label_height = LengthField(label="Label, height")
    left = LengthField(
        label="First label, from the left", help_text="From the paper's edge to the label's."
    )
    top = LengthField(label="First label, from the top")
    step_across = LengthField(
        label="From one label to the next, across",
        help_text="Left edge to left edge, the gap included.",
    )
    step_down = LengthField(
        label="From one label to the next, down", help_text="Upper edge to upper edge."
    )
    corner_radius = LengthField(label="Round corners, radius", help_text="0 for square ones.")
    retired = forms.BooleanField(label="Not offered any more", required=False)
    key = key_field()

    def __init__(self, *args: Any, row: LabelSheet | None, **kwargs: Any) -> None:
        """Show a sheet's numbers, or none for a new one."""
        super().__init__(*args, **kwargs)
        self.row = row
        if row is not None:
            sheet = row.sheet
            self.initial.update({name: getattr(row, name) for name in LabelSheet.MEASURES})
            roll = sheet == Sheet.single(sheet.label_width, sheet.label_height, sheet.corner_radius)
            paper = sheet.paper if sheet.paper in PAPERS else "other"
            self.initial.update(
                {
                    "paper": "roll" if roll else paper,
                    "note": row.note,
                    "retired": row.retired,
                }
            )
        else:
            self.initial.update({"paper": "A4", "columns": 3, "rows": 8, "corner_radius": 0})
            self.initial.update({"left": 0, "top": 0})
        if self.is_bound and self.data.get("paper") == "roll":
            for name in ("columns", "rows", "left", "top", "step_across", "step_down"):
                self.fields[name].required = False

    def clean(self) -> dict[str, Any]:
        """Refuse what can't be a sheet, each fault as its own sentence."""
        said = super().clean() or {}
        if self.errors:
            return said
        if said["paper"] == "other":
            for name in ("paper_width", "paper_height"):
                if said.get(name) is None:
                    self.add_error(name, "Paper of another size needs both its measures.")
            if self.errors:
                return said
        for fault in self.sheet().faults():
            self.add_error(None, fault)
        return said

    def sheet(self) -> Sheet:
        """Return the sheet that was typed."""
        said = self.cleaned_data
        if said["paper"] == "roll":
            return Sheet.single(said["label_width"], said["label_height"], said["corner_radius"])
        size = PAPERS.get(said["paper"]) or (said["paper_width"], said["paper_height"])
        names = [name for name in LabelSheet.MEASURES if not name.startswith("paper")]
        return Sheet(*size, **{name: said[name] for name in names})

    def kept(self) -> LabelSheet:
        """Return the row with what was typed, not saved yet."""
        row, sheet = self.row or LabelSheet(), self.sheet()
        for name in LabelSheet.MEASURES:
            setattr(row, name, getattr(sheet, name))
        row.note, row.retired = self.cleaned_data["note"], self.cleaned_data["retired"]
        return row


class PrinterForm(_Lengths):
    """A printer."""

    key = key_field()
    name = forms.CharField(label="What you call it", max_length=60)
    resolution = forms.TypedChoiceField(choices=LabelPrinter.Dots.choices, coerce=int)
    margin = LengthField(
        label="Edge that it leaves blank",
        help_text="Most desk printers can't print the outermost 4 mm (about 1/6 in); a label "
        "printer mostly can.",
    )
    nudge_right = LengthField(
        label="Move every print to the right by",
        help_text="Where the test print lies too far left. A minus moves it to the left.",
    )
    nudge_down = LengthField(
        label="Move every print down by",
        help_text="Where the test print lies too high. A minus moves it up.",
    )
    measured_across = LengthField(
        help_text="Lay a ruler on the test print. What the printer makes longer or shorter than "
        "true is made up for in later prints."
    )
    measured_down = LengthField(help_text="The same for the line that runs down the paper.")
    retired = forms.BooleanField(label="Not offered any more", required=False)

    def __init__(self, *args: Any, row: LabelPrinter, **kwargs: Any) -> None:
        """Show a printer, or what most are like for a new one."""
        super().__init__(*args, **kwargs)
        self.row = row
        names = ("name", "resolution", "margin", "nudge_right", "nudge_down", "retired")
        self.initial.update({name: getattr(row, name) for name in names})
        inches = self["unit"].value() == "in"
        self.rule, said = (INCH_RULE, "4 in") if inches else (MM_RULE, "100 mm")
        for way in ("across", "down"):
            self.fields[f"measured_{way}"].label = f"The line of {said} {way} measures"
            measured = round(self.rule * getattr(row, f"scale_{way}_ppm") / TRUE)
            self.initial[f"measured_{way}"] = measured

    def clean_name(self) -> str:
        """Refuse a name that another printer has."""
        name: str = self.cleaned_data["name"]
        others = LabelPrinter.objects.exclude(pk=self.row.pk)
        made = changes.is_made(self.row, self["key"].value() or "")
        if not made and others.filter(name__iexact=name).exists():
            raise forms.ValidationError("Another printer is called that already.")
        return name

    def clean(self) -> dict[str, Any]:
        """Refuse numbers that no printer has."""
        said = super().clean() or {}
        if not self.errors:
            for fault in self.kept().printing.faults():
                self.add_error(None, fault)
        return said

    def kept(self) -> LabelPrinter:
        """Return the row with what was typed, not saved yet."""
        for name, value in self.cleaned_data.items():
            if name.startswith("measured_"):
                way = name.removeprefix("measured_")
                setattr(self.row, f"scale_{way}_ppm", round(value * TRUE / self.rule))
            elif name not in ("unit", "key"):
                setattr(self.row, name, value)
        return self.row
