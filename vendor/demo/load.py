"""Writes the demonstration season through the same actions that a potter's own pages call."""

import datetime
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from vendor.demo import season, stalls
from vendor.demo.hands import Hands
from vendor.firings import actions as firings
from vendor.firings.models import Kiln
from vendor.house import clock
from vendor.house.errors import Refused
from vendor.house.models import Studio, User
from vendor.house.studio import studio_or_none
from vendor.studio import actions as studio_actions
from vendor.ware import actions as catalogue
from vendor.ware.models import Finish, Form, PriceTier, Ware
from vendor.ware.price_actions import NewPrice, set_prices
from vendor.ware.queries import price_book

TOLD = Path(settings.BASE_DIR) / "fixtures" / "demo" / "studio.json"
BEFORE_THE_SEASON = datetime.timedelta(days=90)


@dataclass(frozen=True, slots=True)
class Login:
    """A login of the demo, to be told to whoever tries it."""

    username: str
    password: str
    role: str


def logins() -> list[Login]:
    """Return the demo's logins."""
    return [
        Login(person["username"], person["password"], person["role"])
        for person in _told()["people"]
    ]


def load_demo(*, now: datetime.datetime) -> Studio:
    """Write the whole season as it stands on the day of `now`, all or nothing.

    Refused where a studio is there already: a potter's own season is never mixed with it.
    """
    if studio_or_none() is not None:
        raise Refused("There is a studio here already, so the demo was not loaded.")
    told = _told()
    with transaction.atomic():
        studio, owner = _open(told, now - BEFORE_THE_SEASON)
        today = clock.day_of(now, studio)
        drawn = season.draw(today)
        _catalogue(told, owner, now - BEFORE_THE_SEASON)
        kilns = [
            firings.save_kiln(kiln=Kiln(**kiln), who=owner, now=now - BEFORE_THE_SEASON)
            for kiln in told["kilns"]
        ]
        hands = Hands(
            studio=studio,
            owner=owner,
            ware={ware.code: ware for ware in Ware.objects.named()},
            prices=price_book(on=today, studio=studio),
            kilns=kilns,
        )
        stalls.run(drawn, told=told, hands=hands, now=now)
    return studio


def _told() -> dict[str, Any]:
    told: dict[str, Any] = json.loads(TOLD.read_text(encoding="utf-8"))
    return told


def _open(told: dict[str, Any], made: datetime.datetime) -> tuple[Studio, User]:
    owner_told, helper_told = told["people"]
    owner = User(username=owner_told["username"], first_name=owner_told["first_name"])
    studio = studio_actions.open_studio(
        studio=Studio(**told["studio"]),
        owner=owner,
        password=owner_told["password"],
        tiers=[studio_actions.NewTier(**tier) for tier in told["tiers"]],
        now=made,
    )
    studio_actions.add_person(
        username=helper_told["username"],
        first_name=helper_told["first_name"],
        role=helper_told["role"],
        password=helper_told["password"],
        who=owner,
        now=made,
    )
    return studio, owner


def _catalogue(told: dict[str, Any], owner: User, made: datetime.datetime) -> None:
    """Write forms, finishes, ware, and a price for each form since before the season."""
    base = PriceTier.objects.get(is_base=True)
    forms, finishes, prices = {}, {}, []
    for row in told["forms"]:
        facts = {name: value for name, value in row.items() if name != "price"}
        forms[row["code"]] = catalogue.save_form(form=Form(**facts), who=owner, now=made)
        prices.append(NewPrice(amount=row["price"], form_id=forms[row["code"]].pk))
    for row in told["finishes"]:
        finishes[row["code"]] = catalogue.save_finish(finish=Finish(**row), who=owner, now=made)
    for code, form, finish in season.ware():
        ware = Ware(code=code, form=forms[form], finish=finishes[finish])
        catalogue.save_ware(ware=ware, who=owner, now=made)
    set_prices(
        tier=base, prices=prices, from_date=made.date(), today=made.date(), who=owner, now=made
    )
