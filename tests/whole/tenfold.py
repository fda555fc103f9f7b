"""Ten times the demo: nine more of every ware, sale, firing, batch, entry and promise.

Rows are copied as they are, without going through the actions: this is for counting statements
and for measuring, not for figures.
"""

from django.db import connection, models

from vendor.counter.models import Payment, Sale, SaleLine
from vendor.firings.models import Batch, BatchStep, Firing, FiringLine, Loss
from vendor.ledger import triggers
from vendor.ledger.models import Balance, Entry, Hold, HoldLine, Movement
from vendor.supporters.models import Commitment, Supporter
from vendor.ware.models import Finish, Form, Price, Ware

COPIES = 9
# Each model after those it points to; which of its fields have to differ from copy to copy.
COPIED: tuple[tuple[type[models.Model], dict[str, str]], ...] = (
    (Form, {"code": "short", "name": "text"}),
    (Finish, {"code": "short", "name": "text"}),
    (Ware, {"code": "short"}),
    (Price, {}),
    (Entry, {"key": "text"}),
    (Movement, {}),
    (Hold, {}),
    (HoldLine, {}),
    (Balance, {}),
    (Firing, {"key": "text", "number": "number"}),
    (Batch, {"key": "text", "number": "number"}),
    (BatchStep, {"key": "text"}),
    (FiringLine, {}),
    (Loss, {}),
    (Supporter, {"key": "text", "email": "text"}),
    (Commitment, {"key": "text", "number": "number"}),
    (Sale, {"key": "text", "number": "number"}),
    (SaleLine, {}),
    (Payment, {}),
)


def ten_times() -> None:
    """Copy every row of the demo's moving parts nine times."""
    # The copies lie in weekends that are closed, which the database rightly refuses.
    triggers.drop(connection)
    _copy_all()
    triggers.install(connection)


def _copy_all() -> None:
    originals = {model: list(model._default_manager.all()) for model, _ in COPIED}
    for copy in range(1, COPIES + 1):
        copies: dict[tuple[type[models.Model], object], models.Model] = {}
        for model, differing in COPIED:
            made = [_copy(row, copy, differing, copies) for row in originals[model]]
            model._default_manager.bulk_create(made)
            for row, new in zip(originals[model], made, strict=True):
                copies[model, row.pk] = new


def _copy(
    row: models.Model,
    copy: int,
    differing: dict[str, str],
    copies: dict[tuple[type[models.Model], object], models.Model],
) -> models.Model:
    values = {}
    for field in row._meta.concrete_fields:
        if field.primary_key:
            continue
        value = getattr(row, field.attname)
        if field.is_relation and (field.related_model, value) in copies:
            value = copies[field.related_model, value].pk
        how = differing.get(field.name)
        if how == "text":
            value = f"{value} {copy}"
        elif how == "short":
            value = f"{copy}{value}"[: field.max_length or 12]
        elif how == "number":
            value = value + 100_000 * copy
        values[field.attname] = value
    return type(row)(**values)
