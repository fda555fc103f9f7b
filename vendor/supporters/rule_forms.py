"""Reading the forms of levels, rewards, contributions and their files."""

import datetime
import re
from dataclasses import asdict
from typing import Any

from django import forms

from vendor.house.cells import ORDERS
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.once import OnceForm
from vendor.house.widgets import DayInput
from vendor.supporters.forms import KeyedForm, WareChoice
from vendor.supporters.mapping import Columns
from vendor.supporters.models import Contribution, Level, Question, Reward, Supporter
from vendor.ware.models import MAX_MONEY, Form, Ware


class MonthInput(forms.DateInput):
    """A month, chosen with the device's own calendar where it has one."""

    input_type = "month"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%Y-%m")


class MonthField(forms.DateField):
    """A month, as its first day."""

    widget = MonthInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(input_formats=["%Y-%m", "%Y-%m-%d"], **kwargs)

    def clean(self, value: Any) -> datetime.date | None:
        """Return the first day of the month."""
        day = super().clean(value)
        return day.replace(day=1) if day else None


class LevelForm(OnceForm[Level]):
    """A level's name and what it leads to."""

    class Meta:
        model = Level
        fields = ["name", "usual_reward", "retired"]


class TermsForm(KeyedForm):
    """Since when a rule holds."""

    from_month = MonthField(label="From", help_text="It holds from this month on.")


class LevelTermsForm(TermsForm):
    """What a level contributes and earns."""

    amount = MoneyField(label="Contribution a month", most=MAX_MONEY)
    credits = forms.IntegerField(
        min_value=0, max_value=1000, label="Credits a paid month", initial=1
    )

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)


class RewardForm(OnceForm[Reward]):
    """What a reward is of."""

    form = forms.ModelChoiceField(Form.objects.filter(retired=False), required=False)
    ware = WareChoice(
        Ware.objects.current().named(),
        required=False,
        help_text="Where finish and form are given. Leave form and ware empty to let them choose.",
    )

    class Meta:
        model = Reward
        fields = ["name", "form", "ware", "due_weeks", "seconds_allowed", "note", "retired"]


class RewardTermsForm(TermsForm):
    """What a reward costs."""

    cost = forms.IntegerField(min_value=1, max_value=1000, label="Credits", initial=3)
    limit = forms.IntegerField(
        min_value=1,
        required=False,
        label="At most",
        help_text="How many one supporter can have in all. 1: once. Empty: again and again.",
    )
    unbroken = forms.BooleanField(
        required=False,
        label="A missed month breaks the run",
        help_text="Then only credits since the last missed month count toward it.",
    )


class QuestionForm(OnceForm[Question]):
    """What is asked about a reward."""

    options = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        label="What can be chosen",
        help_text="One a line. For a form or a finish: their names, or empty for all of them.",
    )

    class Meta:
        model = Question
        fields = ["kind", "name", "options", "longest", "required", "retired"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["options"] = "\n".join(self.instance.options)

    def clean_options(self) -> list[str]:
        """Return the options, one for each line."""
        lines = str(self.cleaned_data["options"]).splitlines()
        return [line.strip()[:120] for line in lines if line.strip()]


class ContributionForm(KeyedForm):
    """One month's contribution, typed in."""

    supporter = forms.ModelChoiceField(Supporter.objects.known())
    level = forms.ModelChoiceField(Level.objects.filter(retired=False))
    month = MonthField()
    on = forms.DateField(label="Day", widget=DayInput)
    amount = MoneyField(
        above_zero=True, most=MAX_MONEY,
        error_messages={"nothing": "A contribution is above zero."},
    )  # fmt: skip
    kind = forms.ChoiceField(choices=Contribution.Kind.choices, initial="paid", label="It was")
    reference = forms.CharField(max_length=120, required=False)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)


class MonthForm(forms.Form):
    """Which month to tick off."""

    month = MonthField()


class FileForm(KeyedForm):
    """A file of contributions."""

    file = forms.FileField(label="CSV or XLSX file")


class ColumnsForm(forms.Form):
    """What the columns of a file mean."""

    layout = "two"
    add_people = forms.BooleanField(
        required=False, label="Write down supporters who are not known yet"
    )
    order = forms.ChoiceField(choices=list(ORDERS.items()), label="Days are written as")
    paid_words = forms.CharField(label="Words for paid")
    failed_words = forms.CharField(required=False, label="Words for failed")
    refunded_words = forms.CharField(required=False, label="Words for refunded")
    level_words = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        label="Their word = your level",
        help_text="One a line, where the file calls a level something else: basic = Friend",
    )
    WHAT = (
        ("name", "Name"),
        ("email", "E-mail"),
        ("month", "Month"),
        ("day", "Day of payment"),
        ("amount", "Amount"),
        ("level", "Level"),
        ("status", "Paid, failed or refunded"),
        ("reference", "Reference of the payment"),
        ("refunded_on", "Day of refund"),
    )

    def __init__(self, data: Any = None, *, head: list[str], columns: Columns) -> None:
        words = {
            name: ", ".join(getattr(columns, name))
            for name in ("paid_words", "failed_words", "refunded_words")
        }
        levels = "\n".join(f"{word} = {name}" for word, name in columns.level_words.items())
        initial = {**asdict(columns), **words, "level_words": levels}
        super().__init__(data, initial=initial)
        offered = [("", "—"), *((name, name) for name in head)]
        fields = {
            what: forms.ChoiceField(
                choices=offered, required=what == "amount", label=f"{label}: which column"
            )
            for what, label in self.WHAT
        }
        self.fields = {**fields, **self.fields}
        for what, _ in self.WHAT:
            if self.initial.get(what) not in head:
                self.initial[what] = ""

    def columns(self) -> Columns:
        """Return the mapping that was chosen."""
        told = self.cleaned_data
        words = {
            name: tuple(
                word.strip().casefold() for word in re.split(r"[,;\n]", told[name]) if word.strip()
            )
            for name in ("paid_words", "failed_words", "refunded_words")
        }
        pairs = [line.split("=", 1) for line in told["level_words"].splitlines() if "=" in line]
        levels = {word.strip().casefold(): name.strip() for word, name in pairs}
        return Columns(**{**told, **words, "level_words": levels})

    def clean(self) -> dict[str, Any]:
        """Refuse a mapping that can't tell whose a payment is, or for which month."""
        told = self.cleaned_data
        if not told.get("name") and not told.get("email"):
            raise forms.ValidationError("Choose a column for the name or the e-mail address.")
        if not told.get("month") and not told.get("day"):
            raise forms.ValidationError("Choose a column for the month or the day of payment.")
        return told


class AimForm(forms.Form):
    """What a supporter saves for."""

    aim = forms.ModelChoiceField(
        Reward.objects.filter(retired=False),
        required=False,
        label="Saving for",
        empty_label="What their level usually leads to",
    )


def fresh_key() -> str:
    """Return a key for a form that is one button."""
    return new_key()
