"""A form that adds something, and can be sent twice: by a double tap, or a page gone back to."""

from typing import Any, TypeVar

from django import forms
from django.db import models

from vendor.house import changes
from vendor.house.models import new_key

Row = TypeVar("Row", bound=models.Model)


def key_field() -> forms.CharField:
    """Return the hidden field that carries a form's own key."""
    return forms.CharField(max_length=64, required=False, widget=forms.HiddenInput, initial=new_key)


class OnceForm(forms.ModelForm[Row]):
    """A form of one row, with a key of its own where it adds the row.

    Sent again, it finds what it has made: the row is not refused as one that is there already,
    and the action answers with it.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.fields["key"] = key_field()

    @property
    def key(self) -> str:
        """The key that the form was sent with; empty where it changes a row."""
        return str(self.cleaned_data.get("key") or "")

    def validate_unique(self) -> None:
        """Look for others of the same name, unless this form itself has made it."""
        if not changes.is_made(self.instance, self.key):
            super().validate_unique()

    def validate_constraints(self) -> None:
        """Look at what the table demands, unless this form itself has made the row."""
        if not changes.is_made(self.instance, self.key):
            super().validate_constraints()
