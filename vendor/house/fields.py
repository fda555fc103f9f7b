"""Fields that several parts fill in: a number of whole pieces."""

from django import forms

from vendor.house.widgets import CountInput


def pieces_field(label: str, *, most: int, initial: int | None = None) -> forms.IntegerField:
    """Return a field for a number of whole pieces from 0 to `most`; left empty it is None."""
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=most,
        initial=initial,
        widget=CountInput({"max": most, "aria-label": label}),
        error_messages={
            "invalid": "Write a whole number of pieces, such as 12.",
            "min_value": "A number of pieces can't be below zero.",
            "max_value": f"At most {most:,} can be entered here; look for a slip of the keys.",
        },
    )
