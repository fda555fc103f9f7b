"""What is typed on the pages of price lists and prices. Parsing only; refusals are the actions'."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from vendor.house.fields import MoneyField, in_currency
from vendor.house.models import Studio
from vendor.house.money import NotARate, parse_rate, typed_rate
from vendor.house.once import OnceForm
from vendor.house.widgets import DayInput
from vendor.ware.models import MAX_MONEY, Form, PriceTier, Ware
from vendor.ware.price_actions import NewPrice

LARGEST_SHARE = 10_000_000  # 1,000 %
NOT_A_PRICE = {
    "nothing": "A price is above zero. Leave it empty to keep what there is.",
    "too_much": "That is too much for one piece; look for a slip of the keys.",
}
FURTHEST = datetime.timedelta(days=5 * 366)


class TierForm(OnceForm[PriceTier]):
    """A price list: prices of its own, or a share of the base price."""

    share = forms.CharField(
        label="Per cent of the base price",
        max_length=12,
        required=False,
        widget=forms.TextInput({"inputmode": "decimal"}),
        help_text="For ware without a price of its own in this list; 50 is half. "
        "Left empty, the list has only prices of its own.",
    )

    class Meta:
        model = PriceTier
        fields = ("name", "is_base", "for_seconds")

    def __init__(self, *args: Any, studio: Studio, **kwargs: Any) -> None:
        """Offer the share as a percentage; only the first list can become the base."""
        super().__init__(*args, **kwargs)
        self._language = studio.language
        self.order_fields(["name", "share", "is_base", "for_seconds"])
        tier = self.instance
        if tier.share_ppm is not None:
            self.initial["share"] = typed_rate(tier.share_ppm, self._language)
        if tier.is_base:
            del self.fields["share"], self.fields["for_seconds"], self.fields["is_base"]
        elif PriceTier.objects.filter(is_base=True).exists():
            del self.fields["is_base"]

    def clean_share(self) -> int | None:
        """Return parts per million."""
        text = self.cleaned_data["share"]
        if not text:
            return None
        try:
            share = parse_rate(text, self._language, most_ppm=LARGEST_SHARE)
        except NotARate as refused:
            raise ValidationError(refused.message) from None
        if share == 0:
            raise ValidationError("A share lies above 0 and goes up to 1,000 per cent.")
        return share

    def clean(self) -> dict[str, Any]:
        """Put the share where the list keeps it."""
        said = super().clean() or {}
        if "share" in said:
            self.instance.share_ppm = said["share"]
        return said


class PricesForm(forms.Form):
    """The prices of one list: by form, and by ware that differs from its form."""

    from_date = forms.DateField(label="From", widget=DayInput)

    def __init__(
        self, *args: Any, studio: Studio, today: datetime.date, forms_: Sequence[Form],
        ware: Sequence[Ware], own: Mapping[tuple[str, int], int], **kwargs: Any,
    ) -> None:  # fmt: skip
        """Offer each form and ware with its own price in force, where it has one.

        `own` has the amounts in minor units by (“form” or “ware”, key).
        """
        super().__init__(*args, **{"initial": {"from_date": today}, **kwargs})
        self.today, self.things = today, [("form", each) for each in forms_]
        self.things += [("ware", each) for each in ware]  # type: ignore[misc]
        for kind, thing in self.things:
            self.fields[f"{kind}-{thing.pk}"] = MoneyField(
                label=thing.name, initial=own.get((kind, thing.pk)), required=False,
                above_zero=True, most=MAX_MONEY, error_messages=NOT_A_PRICE,
            )  # fmt: skip
        in_currency(self, studio)

    def rows(self, kind: str) -> Iterable[tuple[Form | Ware, BoundField]]:
        """Return each form, or each ware, with its field."""
        return ((thing, self[f"{of}-{thing.pk}"]) for of, thing in self.things if of == kind)

    def form_rows(self) -> Iterable[tuple[Form | Ware, BoundField]]:
        """Return each form with its field."""
        return self.rows("form")

    def ware_rows(self) -> Iterable[tuple[Form | Ware, BoundField]]:
        """Return each ware with its field."""
        return self.rows("ware")

    def clean_from_date(self) -> datetime.date:
        """Refuse a day that is years off."""
        day: datetime.date = self.cleaned_data["from_date"]
        if day - self.today > FURTHEST:
            raise ValidationError("That day is more than five years away; look at the year.")
        return day

    def prices(self) -> list[NewPrice]:
        """Return the prices that were changed; a field that was left as it was says nothing."""
        found = []
        for kind, thing in self.things:
            name = f"{kind}-{thing.pk}"
            amount = self.cleaned_data.get(name)
            if amount and name in self.changed_data:
                key = {"form_id": thing.pk} if kind == "form" else {"ware_id": thing.pk}
                found.append(NewPrice(amount, **key))
        return found
