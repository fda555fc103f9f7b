"""Every change has a who and a when: what is kept of a change, and how a form counts once.

Documents (a sale, a firing, a contribution) carry who made them and when, and stock has the
ledger. All else that can be changed, such as a form, a price list, a fair or a login, is written
through `keep`, or noted with `note`, in the same transaction. Of people (their class says
`is_a_person`) only the names of the fields are kept, never what stood in them.
"""

import datetime
from collections.abc import Collection, Iterable, Sequence
from typing import Any, TypeVar

from django.db import models, transaction

from vendor.house.errors import Refused
from vendor.house.models import Change, User
from vendor.house.money import Currency, format_amount, format_rate
from vendor.house.studio import studio_or_none

Row = TypeVar("Row", bound=models.Model)
Difference = tuple[str, str | None, str | None]
"""A field in words, what it was and what it became; None where that is not kept."""

LONGEST = 200
_NO = "no"
_MONEY = frozenset({"amount", "price", "offer_price", "price_step", "price_ending", "cash_step"})


class SentBefore(Refused):
    """The page was sent before, with something else on it."""


def made_before(row: Row, key: str, *, besides: Collection[str] = ()) -> Row | None:
    """Return what this form has made already, or None; call it in the writer's turn.

    `besides` are columns that the form itself doesn't fill in.

    Refuses (SentBefore) where something else was filled in then: pressing Back, changing the
    page and sending it again would otherwise seem to add a second one and lose it.
    """
    if not key or not row._state.adding:
        return None
    change = Change.objects.filter(key=_own(row, key)).first()
    if change is None:
        return None
    made = type(row)._base_manager.filter(pk=change.number).first()
    filled_in = [field for field in _columns(row) if field.name not in besides]
    if made is None or any(_is_other(field, row, made) for field in filled_in):
        raise SentBefore(
            f"This page was sent before and made {change.name or 'something else'}. Nothing was "
            "added: open that to change it, or a fresh page to add another."
        )
    return made


def is_made(row: models.Model, key: str) -> bool:
    """Tell whether a form with this key has added a row of this kind already."""
    return bool(key) and Change.objects.filter(key=_own(row, key)).exists()


def all_made(model: type[Row], key: str) -> list[Row]:
    """Return all rows that one form has added, each under the form's key and a part of its own."""
    if not key:
        return []
    mine = Change.objects.filter(key__startswith=f"{model._meta.label_lower}:{key[:48]}:")
    return list(model._base_manager.filter(pk__in=mine.values("number")).order_by("pk"))


def keep(
    row: Row,
    *,
    who: User,
    now: datetime.datetime,
    key: str = "",
    more: Iterable[Difference] = (),
) -> Row:
    """Save a row that its rules allow, with a note of who changed what; call in a transaction.

    The same again changes nothing and notes nothing. `more` is what changed beside the row's
    own columns; `key` is the form's, kept with what it adds.
    """
    _in_a_transaction()
    before = None
    if not row._state.adding:
        before = type(row)._base_manager.get(pk=row.pk)
    changed = [field for field in _columns(row) if _changed(field, before, row)]
    differences = [*(_difference(field, before, row) for field in changed), *more]
    if before is None:
        differences = [each for each in differences if each[2] not in ("", _NO)]
        row.save()
    elif changed:
        row.save(update_fields=[field.name for field in changed])
    what = Change.What.ADDED if before is None else Change.What.CHANGED
    if before is None or differences:
        note(row, what, differences, who=who, now=now, key=key if before is None else "")
    return row


def take_away(row: models.Model, *, who: User, now: datetime.datetime) -> None:
    """Delete a row with a note of what it was; call in a transaction."""
    note(
        row,
        Change.What.REMOVED,
        [_difference(field, row, None) for field in _columns(row) if _changed(field, row, None)],
        who=who,
        now=now,
    )
    row.delete()


def note(
    row: models.Model,
    what: str,
    differences: Sequence[Difference] = (),
    *,
    who: User,
    now: datetime.datetime,
    key: str = "",
) -> Change:
    """Write down who changed what on a row that is there; call it in a transaction."""
    _in_a_transaction()
    private = getattr(type(row), "is_a_person", False)
    if private and what == Change.What.ADDED:
        differences = ()
    return Change.objects.create(
        who=who,
        at=now,
        what=what,
        thing=row._meta.label_lower,
        number=row.pk,
        kind=str(row._meta.verbose_name),
        name="" if private else str(row)[:LONGEST],
        fields=[
            [label, None, None] if private else [label, before, after]
            for label, before, after in differences
        ],
        key=_own(row, key) if key else None,
    )


def last_change(row: models.Model) -> Change | None:
    """Return the latest change of a row with whoever made it, or None (one statement)."""
    found = Change.objects.filter(thing=row._meta.label_lower, number=row.pk)
    return found.select_related("who").first()


def amount(minor: int) -> str:
    """Write an amount of minor units as it is kept in a note: with the currency it was in."""
    studio = studio_or_none()
    if studio is None:
        return str(minor)
    return format_amount(minor, Currency.of(studio.currency), studio.language)


def in_words(change: Change) -> str:
    """Return what changed, for people: “name: Tumbler → Beaker; retired: no → yes”."""
    return "; ".join(_said(*each) for each in change.fields)


def _said(label: str, before: str | None, after: str | None) -> str:
    if before is None and after is None:
        return label
    if not before:
        return f"{label}: {after}"
    return f"{label}: {before} → {after or '(empty)'}"


def _own(row: models.Model, key: str) -> str:
    """Return a form's key as it is kept: the keys of one kind of thing never meet another's."""
    return f"{row._meta.label_lower}:{key[:64]}"


def _columns(row: models.Model) -> list[models.Field[Any, Any]]:
    """Return the columns that somebody may fill in."""
    return [field for field in row._meta.concrete_fields if not field.primary_key]


def _plain(field: models.Field[Any, Any], row: models.Model | None) -> Any:
    """Return a column's value as it is compared; None for nothing in it."""
    value = None if row is None else getattr(row, field.attname)
    if isinstance(field, models.FileField):
        value = value.name if value else None
    if isinstance(field, models.BinaryField):
        value = bytes(value) if value else None
    return None if value in ("", []) else value


def _changed(
    field: models.Field[Any, Any], before: models.Model | None, after: models.Model | None
) -> bool:
    return bool(_plain(field, before) != _plain(field, after))


def _is_other(field: models.Field[Any, Any], row: models.Model, made: models.Model) -> bool:
    """Tell whether a column says something else; what was left empty is filled in by ourselves."""
    wanted = _plain(field, row)
    filled_in = field.editable and field.name != "password"
    if (
        wanted is None
        or not filled_in
        or isinstance(field, models.FileField | models.DateTimeField)
    ):
        return False
    return bool(wanted != _plain(field, made))


def _difference(
    field: models.Field[Any, Any], before: models.Model | None, after: models.Model | None
) -> Difference:
    return str(field.verbose_name), _written(field, before), _written(field, after)


def _written(field: models.Field[Any, Any], row: models.Model | None) -> str:
    """Return what a column holds in words, as they are kept for good; "" for nothing."""
    value = _plain(field, row)
    if row is None or value is None:
        return ""
    if isinstance(field, models.FileField | models.BinaryField):
        return "a picture"
    if field.is_relation:
        return str(getattr(row, field.name))[:LONGEST]
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(value, bool):
        return "yes" if value else _NO
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, list):
        return ", ".join(map(str, value))[:LONGEST]
    return _figure(field.name, value)


def _figure(name: str, value: Any) -> str:
    if name in _MONEY:
        return amount(value)
    if name.endswith("_ppm"):
        studio = studio_or_none()
        return format_rate(value, studio.language if studio else "en_US")
    text = str(value)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def _in_a_transaction() -> None:
    if not transaction.get_connection().in_atomic_block:
        raise transaction.TransactionManagementError(
            "A change and the note of it are one transaction."
        )
