"""Fields for thumbs: counts with a button on either side, days and moments from the device's own.

Widgets only; what a field means and refuses is the form's business.
"""

from typing import Any

from django import forms


class CountInput(forms.NumberInput):
    """A count of whole pieces. `look.js` puts “one fewer” and “one more” beside it."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"class": "count", "inputmode": "numeric", "min": 0, **(attrs or {})})


class DayInput(forms.DateInput):
    """A day, chosen with the device's own calendar."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m-%d")


class TimeInput(forms.TimeInput):
    """A time of day, chosen with the device's own clock."""

    input_type = "time"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%H:%M")
