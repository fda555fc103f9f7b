"""The largest amounts, for currencies of which a pot costs billions of the smallest unit.

ISO 4217 gives the rial (IRR) and the rupiah (IDR) two decimals, so that a pot of a million rial
is 100,000,000 in whole minor units.
"""

import datetime
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.counter.stalls import NOW, Stall, reckoned
from tests.factories import FormFactory, OwnerFactory, StudioFactory, TierFactory
from vendor.counter.bundling import make_bundle
from vendor.counter.intake import Outcome, take_in
from vendor.counter.models import Sale
from vendor.house.money import MAX_MONEY
from vendor.supporters import contributing, people, rules
from vendor.supporters.models import Level, Parcel, ShopSale
from vendor.ware.models import Price

pytestmark = pytest.mark.django_db
WIDE = {"BigIntegerField", "PositiveBigIntegerField"}
# Columns that hold an amount, by name; steps and roundings of it are never as large.
AMOUNTS = {
    "amount", "price", "list_price", "unit_price", "offer_price", "postage", "net", "tax",
    "total", "tip", "tendered", "change", "discount", "paid", "cash", "over_short",
}  # fmt: skip


def test_every_column_of_money_is_wide_enough() -> None:
    """32 bits end at 21,474,836.47 dollars, and at 214,748 rial with their decimals."""
    narrow = [
        str(field)
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, models.IntegerField)
        and (field.name in AMOUNTS or (model is Parcel and field.name == "cost"))
        and model._meta.label != "ledger.HoldLine"
        and field.get_internal_type() not in WIDE
    ]
    assert narrow == []
    assert Parcel._meta.get_field("cost").get_internal_type() in WIDE
    assert ShopSale._meta.get_field("price").get_internal_type() in WIDE


def test_the_highest_price_is_set_and_shown(client: Client) -> None:
    """One smallest unit more is a slip of the keys."""
    StudioFactory(currency="IRR", language="en_US")
    client.force_login(OwnerFactory(), "django.contrib.auth.backends.ModelBackend")
    form, tier = FormFactory(), TierFactory()
    address = reverse("ware:tier_prices", args=[tier.pk])
    said = {"from_date": str(timezone.localdate() + datetime.timedelta(days=2))}
    answer = client.post(address, {**said, f"form-{form.pk}": "1,000,000,000.01"})
    assert "slip of the keys" in answer.content.decode()
    assert client.post(address, {**said, f"form-{form.pk}": "1,000,000,000"}).status_code == 302
    assert Price.objects.get().amount == MAX_MONEY
    page = client.get(reverse("ware:form", args=[form.pk])).content.decode()
    assert "IRR\xa01,000,000,000.00" in page


def test_nine_pieces_of_the_highest_price_are_sold() -> None:
    """With the tax on them, to the smallest unit: 9 × 1,000,000,000 and 7.25 % of it."""
    stall = Stall()
    StudioFactory._meta.model.objects.update(currency="IRR")
    Price.objects.filter(ware=stall.tumbler).update(amount=MAX_MONEY)
    document: dict[str, Any] = stall.document((stall.tumbler, 9))
    document["terms"]["currency"] = "IRR"
    document["lines"][0]["list_price"] = MAX_MONEY
    [answer] = take_in(raws=[reckoned(document)], who=stall.owner, now=NOW)
    assert answer.outcome == Outcome.TAKEN, answer.reason
    sale = Sale.objects.get()
    assert (sale.net, sale.tax) == (9 * MAX_MONEY, 65_250_000_000)
    assert sale.payments.get().amount == 965_250_000_000


def test_supporters_and_bundles_reach_the_highest_amount_too() -> None:
    """Written to the database and read back, whichever it is."""
    StudioFactory(currency="IRR")
    owner, now = OwnerFactory(), NOW
    level = rules.save_level(level=Level(name="Ember"), who=owner, now=now)
    month = datetime.date(2026, 11, 1)
    terms = rules.set_level_terms(
        key="t", level=level, from_month=month, amount=MAX_MONEY, credits=1, who=owner, now=now
    )
    one = people.add_supporter(key="s", name="An invented name", who=owner, now=now)
    paid = contributing.record_contribution(
        key="c", supporter=one, level=level, month=month, amount=MAX_MONEY, on=month,
        who=owner, now=now,
    )  # fmt: skip
    bundle = make_bundle(
        key="b", quantity=3, price=MAX_MONEY, from_date=month, form=FormFactory(),
        who=owner, now=now,
    )  # fmt: skip
    for row, name in ((terms, "amount"), (paid, "amount"), (bundle, "price")):
        row.refresh_from_db()
        assert getattr(row, name) == MAX_MONEY
