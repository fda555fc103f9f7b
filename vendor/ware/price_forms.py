"""What is typed on the pages of price lists and prices. Parsing only; refusals are the actions'."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from vendor.house.models import Studio
from vendor.house.money import Currency, NotAnAmount, parse_amount, typed_amount
from vendor.house.numerals import BelowZero, UnreadableNumber, decimal_sign, read_number
from vendor.house.widgets import DayInput
from vendor.ware.models import MAX_MONEY, Form, PriceTier, Ware
from vendor.ware.price_actions import NewPrice

LARGEST_SHARE = 10_000_000  # 1,000 %
FURTHEST = datetime.timedelta(days=5 * 366)


class AmountField(forms.CharField):
    """An amount of money above zero, in the studio's currency; empty is None."""

    def __init__(self, *, studio: Studio, **kwargs: Any) -> None:
        """Read amounts as the studio writes them."""
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(required=False, widget=forms.TextInput(attrs), **kwargs)
        self._currency, self._language = Currency.of(studio.currency), studio.language

    def clean(self, value: Any) -> int | None:
        """Return whole minor units."""
        text = super().clean(value)
        if not text:
            return None
        try:
            amount = parse_amount(text, self._currency, self._language)
        except NotAnAmount as refused:
            raise ValidationError(refused.message) from None
        if amount == 0:
            raise ValidationError("A price is above zero. Leave it empty to keep what there is.")
        if amount > MAX_MONEY:
            raise ValidationError("That is too much for one piece; look for a slip of the keys.")
        return amount


class TierForm(forms.ModelForm[PriceTier]):
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
            percent = Decimal(tier.share_ppm).scaleb(-4).normalize()
            self.initial["share"] = f"{percent:f}".replace(".", decimal_sign(self._language))
        if tier.is_base:
            del self.fields["share"], self.fields["for_seconds"], self.fields["is_base"]
        elif PriceTier.objects.filter(is_base=True).exists():
            del self.fields["is_base"]

    def clean_share(self) -> int | None:
        """Return parts per million."""
        text = self.cleaned_data["share"].replace("%", "").strip()
        if not text:
            return None
        try:
            share = int(read_number(text, self._language, 4).scaleb(4))
        except (UnreadableNumber, BelowZero):
            raise ValidationError("Write a percentage such as 50 or 87.5.") from None
        if not 0 < share <= LARGEST_SHARE:
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
        currency = Currency.of(studio.currency)
        for kind, thing in self.things:
            amount = own.get((kind, thing.pk))
            shown = typed_amount(amount, currency, studio.language) if amount else ""
            self.fields[f"{kind}-{thing.pk}"] = AmountField(
                studio=studio, label=thing.name, initial=shown
            )

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
