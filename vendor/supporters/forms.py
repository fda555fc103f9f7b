"""Reading the promises' forms; what an act refuses is the action's business."""

from typing import Any

from django import forms

from vendor.firings.models import Firing
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.widgets import DayInput
from vendor.ledger.models import Place
from vendor.supporters.models import Question, Supporter
from vendor.ware.models import MAX_MONEY, Ware


class KeyedForm(forms.Form):
    """A form with a key of its own, so that sending it twice does it once."""

    key = forms.RegexField(r"^[0-9a-f]{32}$", widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", new_key())


class SupporterForm(forms.ModelForm[Supporter]):
    """A supporter: name, contact, address."""

    key = forms.RegexField(r"^[0-9a-f]{32}$", widget=forms.HiddenInput)

    class Meta:
        model = Supporter
        fields = ["name", "email", "phone", "address", "note"]
        widgets = {"address": forms.Textarea(attrs={"rows": 4, "autocomplete": "off"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", new_key())

    def clean_email(self) -> str:
        """Return the address in small letters, as it is compared."""
        return str(self.cleaned_data["email"]).lower()


class WareChoice(forms.ModelChoiceField[Ware]):
    """A ware, by its name and code."""

    def label_from_instance(self, obj: Ware) -> str:
        """Return what the list shows."""
        return f"{obj.name} ({obj.code})"


class PromiseForm(KeyedForm):
    """A promise: to whom, which ware, when."""

    supporter = forms.ModelChoiceField(Supporter.objects.known())
    ware = WareChoice(Ware.objects.current().named())
    choices = forms.CharField(
        max_length=200,
        required=False,
        label="What they asked for",
        help_text="Motif, lettering, colours. It is written on the making list.",
    )
    due_on = forms.DateField(required=False, label="Due", widget=DayInput)
    seconds_allowed = forms.BooleanField(
        required=False, label="A second may keep it", help_text="Else only firsts are offered."
    )


class ReasonForm(KeyedForm):
    """Why something is undone, released or cancelled."""

    reason = forms.CharField(
        max_length=200,
        label="Why",
        help_text="It stays in the history for good: leave names out.",
    )


class MoveForm(KeyedForm):
    """Where a held piece is carried to."""

    to = forms.ModelChoiceField(Place.objects.physical(), label="To", empty_label=None)


class SendForm(KeyedForm):
    """How a parcel goes out."""

    carrier = forms.CharField(max_length=40, required=False)
    tracking = forms.CharField(max_length=60, required=False, label="Tracking number")
    cost = MoneyField(required=False, label="Postage", most=MAX_MONEY)

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)


class DayReasonForm(ReasonForm):
    """On which day, and why."""

    on = forms.DateField(label="On", widget=DayInput)
    field_order = ["on", "reason"]


class LabelsForm(forms.Form):
    """A plain grid of address labels, counted across and down the page."""

    layout = "three"
    columns = forms.IntegerField(min_value=1, max_value=6, initial=2, label="Labels across")
    rows = forms.IntegerField(min_value=1, max_value=20, initial=7, label="Labels down")
    skip = forms.IntegerField(min_value=0, max_value=119, initial=0, label="Used up already")


class MakingForm(KeyedForm):
    """Where a promised piece is in the making."""

    firing = forms.ModelChoiceField(
        Firing.objects.to_unload(), required=False, empty_label="in none yet"
    )
    note = forms.CharField(max_length=120, required=False, help_text="On which board, which batch.")


class ChangeForm(KeyedForm):
    """When a promise is due, and what else was asked for."""

    due_on = forms.DateField(required=False, label="Due", widget=DayInput)
    choices = forms.CharField(max_length=200, required=False, label="What they asked for")
    seconds_allowed = forms.BooleanField(required=False, label="A second may keep it")


class ChoicesForm(KeyedForm):
    """What the supporter chose, by question: `answer_<pk>`."""

    def __init__(
        self, *args: Any, asked: list[tuple[Question, list[str], str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.asked = asked
        for question, options, answer in asked:
            self.fields[f"answer_{question.pk}"] = _answer_field(question, options, answer)

    def answers(self) -> dict[int, str]:
        """Return the answers by question."""
        return {
            question.pk: self.cleaned_data[f"answer_{question.pk}"] for question, _, _ in self.asked
        }


def _answer_field(question: Question, options: list[str], answer: str) -> forms.Field:
    note = "" if question.required else "They may leave it."
    if question.kind == Question.Kind.LETTERING:
        return forms.CharField(
            required=False,
            max_length=question.longest,
            label=question.name,
            initial=answer,
            help_text=f"At most {question.longest} characters. {note}".strip(),
        )
    shown = [("", "not chosen yet"), *((option, option) for option in options)]
    if answer and answer not in options:
        shown.append((answer, f"{answer} (not offered any more)"))
    return forms.ChoiceField(
        choices=shown, required=False, label=question.name, initial=answer, help_text=note
    )
