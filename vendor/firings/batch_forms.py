"""What is typed of a batch: its beginning, a move, a loss, why it is called off.

Parsing only; what a batch refuses is in `batching`.
"""

from typing import Any

from django import forms

from vendor.firings.batching import Lost
from vendor.firings.models import MAX_PIECES, Batch, BatchStep, Stage
from vendor.house.fields import pieces_field
from vendor.house.models import new_key
from vendor.house.widgets import DayInput
from vendor.ware.models import Form

CAUSES = [("", "none was lost"), *BatchStep.Cause.choices]


class KeyedForm(forms.Form):
    """A form with a key of its own, so that sending it twice does it once."""

    key = forms.RegexField(r"^[0-9a-f]{32}$", widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("key", new_key())


class NewBatchForm(KeyedForm):
    """A batch: which form, how many, thrown when; and how far it has come, where it has."""

    form = forms.ModelChoiceField(Form.objects.filter(retired=False))
    pieces = pieces_field("Pieces", most=MAX_PIECES)
    thrown_on = forms.DateField(label="Thrown on", widget=DayInput)
    stage = forms.TypedChoiceField(
        label="How far it has come", choices=Stage.choices, coerce=int, initial=Stage.THROWN
    )
    since = forms.DateField(
        label="It got there on",
        required=False,
        widget=DayInput,
        help_text="Only where it is further than thrown. The days are measured for later plans.",
    )
    note = forms.CharField(
        required=False,
        max_length=500,
        widget=forms.Textarea({"rows": 2}),
        help_text="Which board, which clay.",
    )

    def clean(self) -> dict[str, Any]:
        """Ask for the day at which a later stage was reached."""
        said = super().clean() or {}
        if said.get("stage", Stage.THROWN) > Stage.THROWN and "since" not in self.errors:
            if not said.get("since"):
                self.add_error("since", "Say on which day it got that far.")
            elif said.get("thrown_on") and said["since"] < said["thrown_on"]:
                self.add_error("since", "That is before it was thrown.")
        if "pieces" not in self.errors and not said.get("pieces"):
            self.add_error("pieces", "Say how many pieces were thrown.")
        return said

    def facts(self) -> dict[str, Any]:
        """Return what was said, as `batching.start_batch` takes it."""
        said = self.cleaned_data
        later = said["stage"] > Stage.THROWN
        return {**said, "since": said["since"] if later else None}


class LossFields(KeyedForm):
    """Pieces lost on a day, and why."""

    on = forms.DateField(label="On", required=False, widget=DayInput, help_text="Empty: today.")
    lost = pieces_field("Lost", most=MAX_PIECES)
    cause = forms.ChoiceField(label="Why", choices=CAUSES, required=False)
    note = forms.CharField(required=False, max_length=200)

    def loss(self) -> Lost:
        """Return what was lost."""
        said = self.cleaned_data
        return Lost(said["lost"] or 0, said["cause"], said["note"])


class MoveForm(LossFields):
    """To which later stage a batch moves on."""

    to = forms.TypedChoiceField(label="It is", coerce=int)
    field_order = ["key", "to", "on", "lost", "cause", "note"]

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        """Offer the stages that are still ahead."""
        super().__init__(*args, **kwargs)
        ahead = [each for each in Stage.choices if each[0] > batch.stage]
        # What was sent from a page of before is told by the batch itself.
        to = self.fields["to"]
        assert isinstance(to, forms.TypedChoiceField)
        to.choices = Stage.choices if self.is_bound else ahead


class LoseForm(LossFields):
    """Pieces lost where they stand."""

    field_order = ["key", "lost", "cause", "on", "note"]


class BatchReasonForm(KeyedForm):
    """Why a batch is called off."""

    reason = forms.CharField(label="Why", max_length=200, help_text="A word or two is enough.")


class TakeBackForm(KeyedForm):
    """Which step is taken back."""

    step = forms.ModelChoiceField(BatchStep.objects.none(), widget=forms.HiddenInput)

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        """Know the batch's own steps alone."""
        super().__init__(*args, **kwargs)
        step = self.fields["step"]
        assert isinstance(step, forms.ModelChoiceField)
        step.queryset = batch.steps.all()
