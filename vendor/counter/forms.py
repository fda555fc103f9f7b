"""What the owner decides about a kept sale document."""

from typing import Any

from django import forms

from vendor.counter.tray import Waiting
from vendor.house import dates
from vendor.ledger.models import Hold
from vendor.ware.models import Ware

PLAIN, OTHER = "", "other"


class TakeForm(forms.Form):
    """Under which day it goes, which ware an unknown code was, and whether a piece was held."""

    def __init__(self, *args: Any, waiting: Waiting, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waiting = waiting
        days = waiting.standing.days if waiting.standing else ()
        self.fields["day"] = forms.ChoiceField(
            label="Selling day",
            choices=[(day.isoformat(), dates.day(day)) for day in days],
            initial=waiting.day.isoformat() if waiting.day else "",
            help_text="It counts to this day of an open weekend.",
        )
        if waiting.holds:
            held = [
                (str(hold.pk), f"It was the piece of {hold.label}: owed again")
                for hold in waiting.holds
            ]
            other = (OTHER, "It was another one: the closing will ask where it came from")
            self.fields["held"] = forms.ChoiceField(
                label="The held piece",
                choices=[(PLAIN, "No held piece was sold"), other, *held],
                widget=forms.RadioSelect,
                required=False,
            )
        for code in waiting.unknown:
            self.fields[f"ware_{code}"] = forms.ModelChoiceField(
                Ware.objects.named(), label=f"What was {code}?"
            )

    def instead(self) -> dict[str, Ware]:
        """Return the ware that was chosen for each unknown code."""
        return {code: self.cleaned_data[f"ware_{code}"] for code in self.waiting.unknown}

    def overrides(self) -> list[Hold]:
        """Return the hold that the sale ends, if any."""
        chosen = self.cleaned_data.get("held", PLAIN)
        return [hold for hold in self.waiting.holds if str(hold.pk) == chosen]

    def is_other(self) -> bool:
        """Whether the piece was said to be none of the held ones."""
        return bool(self.cleaned_data.get("held", PLAIN) == OTHER)


class AsideForm(forms.Form):
    """Why a kept document is no sale."""

    reason = forms.CharField(
        max_length=200, help_text="For example: rung up a second time on the other phone."
    )
