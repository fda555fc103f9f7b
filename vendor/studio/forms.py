"""Reading the studio's own forms: first run, settings, people."""

import zoneinfo
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, User
from vendor.house.money import currencies
from vendor.house.once import OnceForm
from vendor.restock.quantities import level_of


def _currency_choices() -> list[tuple[str, str]]:
    """Return every currency that can be kept in whole minor units, by its letters."""
    from babel import Locale

    names = Locale("en").currencies
    return [(code, f"{code}: {names.get(code, code)}") for code in sorted(currencies())]


def _zone_choices() -> list[tuple[str, str]]:
    zones = sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone or zone == "UTC")
    return [(zone, zone.replace("_", " ")) for zone in zones if not zone.startswith("Etc/")]


LANGUAGES = [
    ("en_US", "1,234.50 and Dec 5, 2026 (English, United States)"),
    ("en_GB", "1,234.50 and 5 Dec 2026 (English, United Kingdom)"),
    ("en_IE", "1,234.50 and 5 Dec 2026 (English, Ireland)"),
    ("en_CA", "1,234.50 (English, Canada)"),
    ("en_AU", "1,234.50 (English, Australia)"),
    ("en_NZ", "1,234.50 (English, New Zealand)"),
    ("de_DE", "1.234,50 (German, Germany)"),
    ("de_CH", "1’234.50 (German, Switzerland)"),
    ("fr_FR", "1 234,50 (French, France)"),
    ("es_ES", "1234,50 (Spanish, Spain)"),
    ("it_IT", "1.234,50 (Italian, Italy)"),
    ("nl_NL", "1.234,50 (Dutch, Netherlands)"),
    ("pl_PL", "1 234,50 (Polish, Poland)"),
    ("sv_SE", "1 234,50 (Swedish, Sweden)"),
    ("ja_JP", "1,234 (Japanese, Japan)"),
]


class SettingsForm(forms.ModelForm[Studio]):
    """The studio's settings."""

    currency = forms.ChoiceField(choices=_currency_choices, initial="USD")
    time_zone = forms.ChoiceField(choices=_zone_choices, initial="UTC")
    language = forms.ChoiceField(
        choices=LANGUAGES, initial="en_US", label="How numbers are written"
    )

    class Meta:
        model = Studio
        fields = [
            "name",
            "currency",
            "time_zone",
            "language",
            "units",
            "price_step",
            "price_ending",
            "tax_rounding",
            "service_level_percent",
        ]
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "organization"})}
        labels = {"units": "Measures", "tax_rounding": "Tax is rounded"}


class WholeSettingsForm(SettingsForm):
    """The settings with the level of restocking said by what it costs to have too few or too many.

    The two amounts are not kept: with both, the level is reckoned from them.
    """

    missed = MoneyField(
        required=False,
        above_zero=True,
        label="Or: what a missed sale costs you, a piece",
        help_text="Its price less what it cost to make.",
    )
    carried = MoneyField(
        required=False,
        above_zero=True,
        label="And what a piece too many costs you",
        help_text="Room in the van, wear, what breaks on the way. With both, the number of "
        "weekends is reckoned from them.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, self.instance)

    def clean(self) -> dict[str, Any]:
        """Reckon the level from the two amounts; refuse one without the other."""
        told = super().clean() or {}
        missed, carried = told.get("missed"), told.get("carried")
        if self.errors:
            return told
        if (missed is None) != (carried is None):
            lacking = "missed" if missed is None else "carried"
            self.add_error(lacking, "Both are needed to reckon the level, or neither.")
        elif missed is not None and carried is not None:
            told["service_level_percent"] = level_of(missed=missed, carried=carried)
        return told


class PersonForm(OnceForm[User]):
    """A new login."""

    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters; a few words are good.",
        strip=False,
    )

    class Meta:
        model = User
        fields = ["first_name", "username", "role"]
        labels = {"first_name": "First name", "username": "Name to log in with"}
        help_texts = {"username": "Letters, digits and . + - _ only."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["first_name"].required = True
        self.fields["username"].widget.attrs["autocapitalize"] = "none"

    def clean_password(self) -> str:
        """Refuse a password that is too short or too common."""
        password: str = self.cleaned_data["password"]
        validate_password(password)
        return password


class OwnerForm(PersonForm):
    """The owner's login, on the first run."""

    class Meta(PersonForm.Meta):
        fields = ["first_name", "username"]


class FirstSettingsForm(SettingsForm):
    """The settings that the first run asks for; the others have usual values."""

    class Meta(SettingsForm.Meta):
        fields = ["name", "currency", "time_zone", "language", "units"]


class TiersForm(forms.Form):
    """Which price lists to begin with."""

    tiers = forms.MultipleChoiceField(
        label="Price lists",
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="The first one, Fair, is the base price list. All can be changed later.",
    )

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["tiers"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = choices
        field.initial = [value for value, _ in choices]


class PasswordForm(forms.Form):
    """A new password for a person."""

    password = forms.CharField(
        label="New password",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        strip=False,
    )

    def clean_password(self) -> str:
        """Refuse a password that is too short or too common."""
        password: str = self.cleaned_data["password"]
        try:
            validate_password(password)
        except ValidationError as error:
            raise ValidationError(error.messages) from error
        return password
