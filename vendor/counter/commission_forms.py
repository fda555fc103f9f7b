"""What is asked when a commission is paid on, handed over, cancelled, or taken from the tray."""

import datetime
from typing import Any

from django import forms

from vendor.counter.at import At
from vendor.counter.commissions import Ending, Received
from vendor.counter.figures import Method
from vendor.counter.models import Deposit
from vendor.counter.queries import Standing
from vendor.counter.rung import Paid
from vendor.counter.till import FIRST_TILL, names_of
from vendor.counter.ways import IN_WORDS, Way
from vendor.house import dates
from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio
from vendor.ware.models import MAX_MONEY, Form, Ware

KEPT = "kept"
WAYS = [(way, words.capitalize()) for way, words in IN_WORDS.items()]


class KeyedForm(forms.Form):
    """A form with a key of its own, and the cash box where the weekend has several."""

    key = forms.RegexField(r"^[0-9a-f]{32}$", widget=forms.HiddenInput)

    def __init__(self, *args: Any, studio: Studio, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_currency(self, studio)
        self.standing = standing
        boxes = names_of(standing.weekend)
        if len(boxes) > 1:
            self.fields["till"] = forms.TypedChoiceField(
                label="Which cash box", coerce=int, choices=list(boxes.items())
            )

    def at(self, now: datetime.datetime) -> At:
        """Return where and when it is done: in the open weekend, by the cash box chosen."""
        till = int(self.cleaned_data.get("till", FIRST_TILL))
        weekend, day = self.standing.weekend, self.standing.day
        return At(weekend=weekend, day=day, moment=now, till=till)


class DepositForm(KeyedForm):
    """Money that is paid on a commission in advance."""

    amount = MoneyField(above_zero=True, most=MAX_MONEY)
    way = forms.ChoiceField(label="Paid", choices=WAYS, widget=forms.RadioSelect)

    def received(self) -> Received:
        """Return the money and how it came."""
        told = self.cleaned_data
        return Received(method=Method(told["way"]), amount=told["amount"])


class HandOverForm(KeyedForm):
    """How the rest of a commission is paid."""

    way = forms.ChoiceField(label="The rest is paid", choices=WAYS, widget=forms.RadioSelect)
    tendered = MoneyField(
        required=False, label="Cash handed over", help_text="Empty: just what is to pay."
    )

    def payment(self) -> Paid:
        """Return how the rest is paid; cash handed over counts for cash alone."""
        method = Method(self.cleaned_data["way"])
        handed = self.cleaned_data["tendered"] if method is Method.CASH else None
        return Paid(method=method, tendered=handed)


class CancelForm(KeyedForm):
    """What becomes of the deposit of a commission that is cancelled, and why."""

    ending = forms.ChoiceField(
        label="Its deposit",
        choices=[
            (Way.CASH.value, "Paid back in cash"),
            (Way.CARD.value, "Paid back by card: on the terminal"),
            (Way.OTHER.value, "Paid back another way"),
            (KEPT, "Kept: it is other income then, and no sale"),
        ],
        widget=forms.RadioSelect,
    )
    reason = forms.CharField(
        max_length=200, label="Why", help_text="It stays in the history for good: leave names out."
    )

    def chosen(self) -> Ending:
        """Return how the deposit ends."""
        way = self.cleaned_data["ending"]
        if way == KEPT:
            return Ending(kind=Deposit.Kind.KEPT)
        return Ending(kind=Deposit.Kind.PAID_BACK, method=Method(way))


class TakeCommissionForm(forms.Form):
    """Under which day a kept commission goes, and of what it is."""

    day = forms.ChoiceField(
        label="Selling day", help_text="Its deposit counts to this day of an open weekend."
    )
    ware = forms.ModelChoiceField(
        Ware.objects.current().named(), required=False, empty_label="none of these yet"
    )
    form = forms.ModelChoiceField(
        Form.objects.filter(retired=False), required=False, empty_label="none of these",
        help_text="Where there is no ware like it yet: its form; the rest is in the words.",
    )  # fmt: skip

    def __init__(self, *args: Any, standing: Standing | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        days = standing.days if standing else ()
        field = self.fields["day"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(day.isoformat(), dates.day(day)) for day in days]
        self.initial.setdefault("day", standing.day.isoformat() if standing else "")

    def clean(self) -> dict[str, Any]:
        """Refuse a commission of nothing."""
        told = super().clean() or {}
        if not told.get("ware") and not told.get("form"):
            raise forms.ValidationError("Choose a ware or a form: what is it that was ordered?")
        return told
