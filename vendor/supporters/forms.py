"""Reading the promises' forms; what an act refuses is the action's business."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db import models

from vendor.firings.models import Batch, Firing, FiringLine
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio, new_key
from vendor.house.widgets import DayInput
from vendor.ledger.models import Place
from vendor.supporters.models import Commitment, Question, Supporter
from vendor.supporters.places import Offered
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
    """Where a promised piece is in the making: a batch, a firing's line, or in words."""

    where = forms.CharField(
        required=False, label="Where", widget=forms.Select, help_text="What fits is listed here."
    )
    note = forms.CharField(
        max_length=120, required=False, help_text="On which board; or where, if not listed."
    )

    def __init__(
        self, *args: Any, promise: Commitment, offered: Sequence[Offered] = (), **kwargs: Any
    ) -> None:
        """Offer the places that fit a promise, and begin with where it is."""
        kwargs["initial"] = {"where": _where(promise), "note": promise.making_note}
        super().__init__(*args, **kwargs)
        known = [("", "in none of these"), *((each.value, each.words) for each in offered)]
        if promise.firing_id is not None:
            known.append((f"firing:{promise.firing_id}", str(promise.firing)))
        select = self.fields["where"].widget
        assert isinstance(select, forms.Select)
        select.choices = known

    def clean(self) -> dict[str, Any]:
        """Read which batch, line or firing is meant."""
        said = super().clean() or {}
        kind, _, text = (said.pop("where", "") or "").partition(":")
        said |= {"batch": None, "line": None, "firing": None}
        if not kind:
            return said
        number = int(text) if text.isascii() and text.isdigit() and len(text) < 18 else 0
        rows: dict[str, models.QuerySet[Any]] = {
            "batch": Batch.objects.select_related("form"),
            "line": FiringLine.objects.named(),
            "firing": Firing.objects.all(),
        }
        found = rows[kind].filter(pk=number).first() if kind in rows else None
        if found is None:
            self.add_error("where", "That is not one of the choices any more.")
        else:
            said[kind] = found
        return said


def _where(promise: Commitment) -> str:
    """Return the choice that a promise's place is."""
    if promise.state != Commitment.State.MAKING:
        return ""
    if promise.firing_line_id is not None:
        return f"line:{promise.firing_line_id}"
    if promise.batch_id is not None:
        return f"batch:{promise.batch_id}"
    return f"firing:{promise.firing_id}" if promise.firing_id is not None else ""


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
