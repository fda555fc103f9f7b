"""How one act on a promise is done once, in its turn, and written into the promise's history.

Private to the part: `actions` and its second halves hold the public verbs.
"""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Max

from vendor.house.models import User
from vendor.ledger import holds
from vendor.ledger.errors import refuse_other
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NotNow, NotValid
from vendor.supporters.models import Commitment, Step

Row = TypeVar("Row", bound=models.Model)


class Act:
    """One act on one promise: the promise as it is now, and whether the act was done before."""

    def __init__(
        self, key: str, what: str, commitment: Commitment, who: User, now: datetime.datetime
    ) -> None:
        self.key, self.what, self.who, self.now = key, what, who, now
        self.commitment = Commitment.objects.named().get(pk=commitment.pk)
        before = Step.objects.filter(key=key).first()
        self.done_before = before is not None
        if before is not None:
            refuse_other((before.commitment_id, before.what), (commitment.pk, what))

    def only(self, *states: str, instead: str) -> None:
        """Refuse (NotNow) unless the promise is in one of these states; `instead` says what to do.

        A repeat of an act that was done passes: its promise has moved on by then.
        """
        if not self.done_before and self.commitment.state not in states:
            raise NotNow(
                f"{self.commitment} is “{self.commitment.stage.lower()}”. "
                f"Nothing was changed: {instead}"
            )

    def write(self, *fields: str, note: str = "") -> None:
        """Save the promise's fields, whole or not at all, and add the act to its history."""
        cleaned(self.commitment).save(update_fields=fields)
        Step.objects.create(
            key=self.key,
            made_by=self.who,
            made_at=self.now,
            commitment=self.commitment,
            what=self.what,
            note=note,
        )


@contextmanager
def act(
    key: str, what: str, commitment: Commitment, who: User, now: datetime.datetime
) -> Iterator[Act]:
    """Do one act in one transaction, once it is this writer's turn."""
    with transaction.atomic():
        take_turn()
        yield Act(key, what, commitment, who, now)


def let_go(done: Act, reason: str) -> None:
    """Release the promise's hold, with a reason; the act still has to be written."""
    hold = done.commitment.hold
    assert hold is not None
    holds.release(
        key=f"promise-release:{done.key}", hold=hold, who=done.who, now=done.now, reason=reason
    )
    done.commitment.hold = None


def next_number() -> int:
    """Return the number of the next promise; call it in the writer's turn."""
    return (Commitment.objects.aggregate(last=Max("number"))["last"] or 0) + 1


def cleaned(row: Row) -> Row:
    """Return a row that its own rules allow; refuses (NotValid) with their sentences."""
    try:
        row.full_clean()
    except ValidationError as error:
        said = [
            f"{_named(row, field)}{sentence}"
            for field, sentences in error.message_dict.items()
            for sentence in sentences
        ]
        raise NotValid(f"{' '.join(said)} Nothing was changed.") from error
    return row


def _named(row: models.Model, field: str) -> str:
    """Return a field's name as it stands before a complaint about it, or nothing."""
    known = {each.name: each for each in row._meta.fields}
    return f"{str(known[field].verbose_name).capitalize()}: " if field in known else ""
