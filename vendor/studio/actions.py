"""What is written about the studio itself: the first run, its settings, its people."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from axes.utils import reset as unlock
from django.contrib.auth.password_validation import validate_password
from django.db import transaction

from vendor.counter.models import Sale, TillMovement
from vendor.house import changes
from vendor.house import studio as house_studio
from vendor.house.errors import Refused
from vendor.house.models import Change, Studio, User
from vendor.house.turns import take_turn
from vendor.ledger.actions import the_place
from vendor.ledger.models import Place
from vendor.supporters.models import Contribution, Level
from vendor.ware.models import Price, PriceTier


@dataclass(frozen=True, slots=True)
class NewTier:
    """A price list to begin with; `share_ppm` of the base price where it is a share."""

    name: str
    share_ppm: int | None = None
    is_base: bool = False
    for_seconds: bool = False


# The lists that the first run offers; common practice, to be changed as the studio likes.
USUAL_TIERS = (
    NewTier("Fair", is_base=True),
    NewTier("Online", 1_100_000),
    NewTier("Trade", 500_000),
    NewTier("Supporter", 900_000),
    NewTier("Second", 600_000, for_seconds=True),
)


def open_studio(
    *,
    studio: Studio,
    owner: User,
    password: str,
    tiers: Sequence[NewTier] = USUAL_TIERS,
    now: datetime.datetime,
) -> Studio:
    """Do the first run: settings, the owner's login, price lists and the shelf, all or nothing.

    It is the owner who does it. Refused where the studio is there already, so that sending the
    page twice changes nothing.
    """
    with transaction.atomic():
        opened = house_studio.open_studio(studio=studio, owner=owner, password=password)
        changes.note(opened, Change.What.ADDED, who=owner, now=now)
        changes.note(owner, Change.What.ADDED, who=owner, now=now)
        for tier in tiers:
            row = PriceTier(
                name=tier.name,
                share_ppm=tier.share_ppm,
                is_base=tier.is_base,
                for_seconds=tier.for_seconds,
            )
            row.full_clean()
            changes.keep(row, who=owner, now=now)
        the_place(Place.Kind.STUDIO)
    return opened


def change_settings(*, studio: Studio, who: User, now: datetime.datetime) -> Studio:
    """Write the studio's settings; past sales and statements keep what they were made with.

    Refused: another currency once anything has a price in the one there is. An amount is kept as
    so many of its smallest units, which would then be read as another's.
    """
    with transaction.atomic():
        take_turn()
        before = house_studio.the_studio().currency
        if studio.currency != before and _has_amounts():
            raise Refused(
                f"There are prices or payments in {before} already, so the currency stays. "
                "Nothing was changed: a studio in another currency begins with a book of its own."
            )
        studio.full_clean()
        changes.keep(studio, who=who, now=now)
    return studio


def _has_amounts() -> bool:
    """Tell whether anything is written down in the studio's currency."""
    books = (Price, Sale, TillMovement, Contribution, Level)
    return any(book._default_manager.exists() for book in books)


def add_person(
    *,
    username: str,
    first_name: str,
    role: str,
    password: str,
    key: str = "",
    who: User,
    now: datetime.datetime,
) -> User:
    """Give somebody a login, once by the form's key."""
    with transaction.atomic():
        take_turn()
        person = User(username=username, first_name=first_name, role=role)
        if (made := changes.made_before(person, key)) is not None:
            return made
        validate_password(password, person)
        person.set_password(password)
        person.full_clean()
        changes.keep(person, who=who, now=now, key=key)
    return person


def set_password(*, person: User, password: str, who: User, now: datetime.datetime) -> None:
    """Give a person a new password; logs them out everywhere.

    Where too many wrong ones have locked their name, it is open again.
    """
    with transaction.atomic():
        take_turn()
        validate_password(password, person)
        person.set_password(password)
        changes.keep(person, who=who, now=now)
        unlock(username=person.username)


def shut_out(*, person: User, who: User, now: datetime.datetime) -> None:
    """Take a person's login away; what they did keeps their name."""
    if person.pk == who.pk:
        raise Refused("You can't take away your own login. Nothing was changed.")
    _let(person, False, who, now)


def let_in_again(*, person: User, who: User, now: datetime.datetime) -> None:
    """Give a person's login back."""
    _let(person, True, who, now)


def _let(person: User, in_: bool, who: User, now: datetime.datetime) -> None:
    with transaction.atomic():
        take_turn()
        person.is_active = in_
        changes.keep(person, who=who, now=now)
