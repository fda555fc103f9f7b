"""Everything that is written about what the studio makes: forms, finishes, ware.

Prices are in `price_actions`, photos in `photos`. Keyword-only verbs, one transaction each.
"""

import datetime
from collections.abc import Callable, Sequence
from typing import TypeVar

from django.db import transaction

from vendor.house import changes
from vendor.house.errors import Refused
from vendor.house.models import User
from vendor.house.turns import take_turn
from vendor.ware import codes
from vendor.ware.errors import LooksAlike, NothingMade
from vendor.ware.models import Finish, Form, Ware

Coded = TypeVar("Coded", Form, Finish, Ware)

MOST_AT_ONCE = 100


def save_form(*, form: Form, key: str = "", who: User, now: datetime.datetime) -> Form:
    """Add a form, once by its key, or change one. Without a code it gets one from its name."""
    with transaction.atomic():
        take_turn()
        form.name = " ".join(form.name.split())
        return _kept(form, lambda taken: _suggested(form.name, taken, "F"), key, who, now)


def save_finish(*, finish: Finish, key: str = "", who: User, now: datetime.datetime) -> Finish:
    """Add a finish, once by its key, or change one. Without a code it gets one from its name."""
    with transaction.atomic():
        take_turn()
        finish.name = " ".join(finish.name.split())
        return _kept(finish, lambda taken: _suggested(finish.name, taken, "G"), key, who, now)


def make_ware(
    *,
    form: Form,
    finishes: Sequence[Finish],
    key: str = "",
    who: User,
    now: datetime.datetime,
) -> list[Ware]:
    """Make ware of one form in several finishes at once, each with a code of its own.

    Once by its key. A finish in which the form is there already is passed over; NothingMade where
    none is left.
    """
    with transaction.atomic():
        take_turn()
        if before := changes.all_made(Ware, key):
            return before
        there = set(
            Ware.objects.filter(form=form, one_of_a_kind=False).values_list("finish_id", flat=True)
        )
        wanted = [finish for finish in dict.fromkeys(finishes) if finish.pk not in there]
        if not wanted:
            raise NothingMade(
                f"{form} is there already in all the finishes ticked, or none was ticked. "
                "Nothing was made."
            )
        if len(wanted) > MOST_AT_ONCE:
            raise Refused(f"At most {MOST_AT_ONCE} at once. Nothing was made.")
        taken = set(Ware.objects.values_list("code", flat=True))
        made = []
        for finish in wanted:
            ware = Ware(form=form, finish=finish, code=ware_code(form, finish, taken))
            ware.full_clean()
            changes.keep(ware, who=who, now=now, key=f"{key[:48]}:{finish.pk}" if key else "")
            taken.add(ware.code)
            made.append(ware)
    return made


def save_ware(*, ware: Ware, key: str = "", who: User, now: datetime.datetime) -> Ware:
    """Add a ware, once by its key, or change one.

    Without a code it gets one from its form's and its finish's.
    """
    with transaction.atomic():
        take_turn()
        ware.own_name = " ".join(ware.own_name.split())
        return _kept(ware, lambda taken: ware_code(ware.form, ware.finish, taken), key, who, now)


def ware_code(form: Form, finish: Finish, taken: set[str]) -> str:
    """Return a free code for a form in a finish; refused where there is none left."""
    try:
        return codes.ware_code(form.code, finish.code, taken)
    except ValueError:
        raise LooksAlike(
            f"There is no free code left for {form} in {finish}. Nothing was saved: "
            "give it a code of your own."
        ) from None


def _kept(
    row: Coded, suggest: Callable[[set[str]], str], key: str, who: User, now: datetime.datetime
) -> Coded:
    """Save a row under a code that no other has; what its form has made already is answered."""
    if (made := changes.made_before(row, key)) is not None:
        return made
    others = type(row)._default_manager.exclude(pk=row.pk)
    taken = set(others.values_list("code", flat=True))
    row.code = row.code or suggest(taken)
    _refuse_alike(row.code, taken)
    row.full_clean()
    return changes.keep(row, who=who, now=now, key=key)


def _suggested(name: str, taken: set[str], otherwise: str) -> str:
    try:
        return codes.suggest(name, taken, otherwise=otherwise)
    except ValueError:
        raise LooksAlike(
            f"There is no free code left for “{name}”. Nothing was saved: give it one of your own."
        ) from None


def _refuse_alike(code: str, taken: set[str]) -> None:
    other = codes.looks_like(code, taken)
    if other == code:
        raise LooksAlike(f"The code {code} is taken. Nothing was saved: choose another.")
    if other is not None:
        raise LooksAlike(
            f"The code {code} is easily taken for {other} (0 and O, 1 and I, 5 and S, 8 and B, "
            "2 and Z look alike). Nothing was saved: choose another."
        )
