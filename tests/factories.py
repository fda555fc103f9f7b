"""Plain makers of the rows that most tests need; stock itself only moves through the ledger."""

import datetime
import zoneinfo
from typing import Any

import factory
from factory.django import DjangoModelFactory

from vendor.house.models import Studio, User
from vendor.ledger import actions
from vendor.ledger.models import Entry, Place
from vendor.ware.models import Finish, Form, Price, PriceTier, Ware

NOW = datetime.datetime(2026, 12, 2, 9, 0, tzinfo=zoneinfo.ZoneInfo("America/New_York"))


class StudioFactory(DjangoModelFactory[Studio]):
    """The studio's one settings row."""

    class Meta:
        model = Studio
        django_get_or_create = ("id",)

    id = 1
    name = "Tansy Weir Pottery"
    currency = "USD"
    language = "en_US"
    time_zone = "America/New_York"
    units = "in"


class UserFactory(DjangoModelFactory[User]):
    """A helper; `OwnerFactory` makes an owner."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"helper{n}")
    first_name = "Robin"
    role = User.Role.HELPER
    password = factory.django.Password("a kiln full of pots")


class OwnerFactory(UserFactory):
    """The owner of the studio."""

    username = factory.Sequence(lambda n: f"owner{n}")
    first_name = "Tansy"
    role = User.Role.OWNER


def _short(number: int) -> str:
    """Return a number in few letters and digits: a code has four at most."""
    digits = "0123456789ABCDEFGHJKLMNPQRTUVWXY"
    return (_short(number // 32) if number >= 32 else "") + digits[number % 32]


class FormFactory(DjangoModelFactory[Form]):
    """A form."""

    class Meta:
        model = Form

    code = factory.Sequence(lambda n: f"F{_short(n)}")
    name = factory.Sequence(lambda n: f"Form {n}")
    height_mm = 90
    width_mm = 80


class FinishFactory(DjangoModelFactory[Finish]):
    """A finish."""

    class Meta:
        model = Finish

    code = factory.Sequence(lambda n: f"G{_short(n)}")
    name = factory.Sequence(lambda n: f"glaze {n}")


class WareFactory(DjangoModelFactory[Ware]):
    """A ware with a form and a finish of its own."""

    class Meta:
        model = Ware

    form = factory.SubFactory(FormFactory)
    finish = factory.SubFactory(FinishFactory)
    code = factory.LazyAttribute(lambda ware: f"{ware.form.code}-{ware.finish.code}")


class TierFactory(DjangoModelFactory[PriceTier]):
    """The base price list unless told otherwise."""

    class Meta:
        model = PriceTier
        django_get_or_create = ("name",)

    name = "Fair"
    is_base = True


class PriceFactory(DjangoModelFactory[Price]):
    """What a ware costs in the base list, since long ago."""

    class Meta:
        model = Price

    tier = factory.SubFactory(TierFactory)
    ware = factory.SubFactory(WareFactory)
    amount = 3400
    from_date = datetime.date(2026, 1, 1)
    set_by = factory.SubFactory(OwnerFactory)
    set_at = NOW


def shelf() -> Place:
    """Return the studio shelf."""
    return actions.the_place(Place.Kind.STUDIO)


def stall(name: str = "Stall at Oxmere Mill") -> Place:
    """Return a stall."""
    who = User.objects.filter(role=User.Role.OWNER).first() or OwnerFactory()
    return actions.open_place(name=name, kind=Place.Kind.STALL, who=who, now=NOW)


def stocked(
    ware: Ware, quantity: int, *, at: Place | None = None, grade: str = "first", **more: Any
) -> Entry:
    """Put pieces of a ware on the shelf (or at a place) as opening stock."""
    StudioFactory()
    who = more.pop("who", None) or OwnerFactory()
    key = more.pop("key", f"opening-{Entry.objects.count()}-{ware.pk}")
    return actions.receive(
        key=key,
        lines=[actions.Line(ware.pk, quantity, grade)],
        into=at or shelf(),
        who=who,
        now=more.pop("now", NOW - datetime.timedelta(days=60)),
        kind=Entry.Kind.OPENING,
        **more,
    )
