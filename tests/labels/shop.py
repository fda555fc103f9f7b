"""Makers for the tests of the pages of tags: a studio with ware, prices and someone who prints."""

import datetime
from typing import Any

from django.test import Client
from django.urls import reverse

from tests.factories import (
    FinishFactory,
    FormFactory,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    TierFactory,
    WareFactory,
)
from vendor.house.models import User
from vendor.labels.models import LabelPrinter, LabelSheet
from vendor.ware.models import PriceTier, Ware

NOON = datetime.datetime(2026, 12, 2, 17, 0, tzinfo=datetime.UTC)


def owner() -> User:
    """Return the studio's owner, and see to it that there is a studio."""
    StudioFactory()
    return User.objects.filter(role=User.Role.OWNER).first() or OwnerFactory()


def seconds() -> PriceTier:
    """Return the price list for seconds: seven tenths of the base price."""
    return TierFactory(name="Second", is_base=False, for_seconds=True, share_ppm=700_000)


def priced(
    form: str = "Tumbler", finish: str = "celadon", amount: int = 3400, code: str = "", **more: Any
) -> Ware:
    """Return ware with a name, a code and a price."""
    ware = WareFactory(
        form=FormFactory(name=form),
        finish=FinishFactory(name=finish, **more),
        code=code or f"{form[:3]}-{finish[:3]}".upper(),
    )
    PriceFactory(ware=ware, amount=amount)
    return ware


def filled(counts: dict[str, object], **more: object) -> dict[str, str]:
    """Return a filled-in page of tags: counts by ware key (“w3”) and how to print."""
    said = {
        "key": "page-1",
        "tier": PriceTier.objects.get(is_base=True).pk,
        "symbol": "code128",
        "sheet": LabelSheet.objects.order_by("pk").first().pk,  # type: ignore[union-attr]
        "printer": LabelPrinter.objects.order_by("pk").first().pk,  # type: ignore[union-attr]
        "start": 1,
        **counts,
        **more,
    }
    return {name: str(value) for name, value in said.items()}


def at(name: str, *args: Any) -> str:
    """Return the address of a page of tags."""
    return reverse(f"labels:{name}", args=args)


def logged_in(client: Client, who: User) -> Client:
    """Return a browser in which someone is logged in."""
    client.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
    return client
