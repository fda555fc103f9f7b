"""Early releases: pieces set aside for supporters to buy before others, and given back after.

A second half of `actions`, by the same rules. Each piece is a hold of its own, so that it can be
sold or given back by itself. What is left when the release ends returns to free stock with the
next page that anybody opens: nothing runs in the background.
"""

import datetime
from collections.abc import Sequence

from django.db import transaction

from vendor.house import clock
from vendor.house.models import User
from vendor.house.reasons import reason_of
from vendor.house.studio import the_studio
from vendor.ledger import actions as ledger
from vendor.ledger import holds
from vendor.ledger.models import Entry, Hold, Place
from vendor.ledger.posting import take_turn
from vendor.supporters.errors import NoFreePiece, NotNow
from vendor.supporters.models import EarlyPiece, EarlyRelease
from vendor.supporters.steps import cleaned
from vendor.ware.models import Grade, PriceTier, Ware

MOST = 500


def open_early_release(
    *,
    key: str,
    name: str,
    opens_on: datetime.date,
    closes_on: datetime.date,
    tier: PriceTier,
    who: User,
    now: datetime.datetime,
) -> EarlyRelease:
    """Plan an early release from a day up to and including a day, at a price list."""
    with transaction.atomic():
        take_turn()
        before = EarlyRelease.objects.filter(key=key).first()
        if before is not None:
            return before
        new = EarlyRelease(
            key=key,
            made_by=who,
            made_at=now,
            name=" ".join(name.split()),
            opens_on=opens_on,
            closes_on=closes_on,
            tier=tier,
        )
        cleaned(new)
        if new.is_over(clock.day_of(now, the_studio())):
            raise NotNow("The last day of this early release has passed. Nothing was set aside.")
        new.save()
    return new


def set_aside(
    *,
    key: str,
    release: EarlyRelease,
    ware: Ware,
    quantity: int,
    grade: str = Grade.FIRST,
    place: Place | None = None,
    who: User,
    now: datetime.datetime,
) -> list[EarlyPiece]:
    """Set free pieces aside for an early release, on the studio shelf unless told otherwise.

    Refused as a whole where fewer are free (the ledger's HeldPiece or NotEnough).
    """
    if not 1 <= quantity <= MOST:
        raise NoFreePiece(f"Set aside between 1 and {MOST} pieces. Nothing was changed.")
    with transaction.atomic():
        take_turn()
        fresh = EarlyRelease.objects.get(pk=release.pk)
        at = place or ledger.the_place(Place.Kind.STUDIO)
        set_before = [f"early:{key}:{nth}" for nth in range(quantity)]
        before = EarlyPiece.objects.filter(hold__lines__entry__key__in=set_before)
        if before.exists():
            return list(before.order_by("pk"))
        refuse_over(fresh, clock.day_of(now, the_studio()))
        return [_one_aside(own, fresh, ware, grade, at, who, now) for own in set_before]


def give_back(
    *,
    key: str,
    release: EarlyRelease,
    ware: Ware,
    grade: str = Grade.FIRST,
    quantity: int,
    reason: str,
    who: User,
    now: datetime.datetime,
) -> int:
    """Give pieces of a ware back to free stock before the release ends; returns how many."""
    why = reason_of(reason, "they are given back")
    with transaction.atomic():
        take_turn()
        if ledger_knows(f"back:{key}:0"):
            return quantity
        chosen = held_for(release, ware, grade)[:quantity]
        if len(chosen) < quantity:
            raise NoFreePiece(
                f"“{release}” holds {len(chosen)} of {ware.name}. Nothing was changed: choose at "
                "most that many."
            )
        for nth, hold in enumerate(chosen):
            holds.release(key=f"back:{key}:{nth}", hold=hold, who=who, now=now, reason=why)
    return quantity


def end_early_release(
    *, release: EarlyRelease, who: User, now: datetime.datetime, reason: str = ""
) -> EarlyRelease:
    """End a release now: what did not sell returns to free stock. Ended twice, it ends once."""
    with transaction.atomic():
        take_turn()
        fresh = EarlyRelease.objects.get(pk=release.pk)
        if fresh.ended_at is not None:
            return fresh
        why = reason.strip()[:200] or f"“{fresh.name}” ended on {fresh.closes_on}"
        fresh.returned = release_all(fresh, why, who, now)
        fresh.ended_at, fresh.ended_by = now, who
        fresh.save(update_fields=["ended_at", "ended_by", "returned"])
    return fresh


def end_what_is_over(*, who: User, now: datetime.datetime) -> list[EarlyRelease]:
    """End every release whose last day has passed, each with a record; usually there is none."""
    today = clock.day_of(now, the_studio())
    over = EarlyRelease.objects.filter(ended_at__isnull=True, closes_on__lt=today)
    return [end_early_release(release=each, who=who, now=now) for each in over]


def release_all(release: EarlyRelease, why: str, who: User, now: datetime.datetime) -> int:
    """Give every piece that a release still holds back to free stock; returns how many."""
    pieces = EarlyPiece.objects.filter(release=release, hold__quantity__gt=0)
    count = 0
    for each in pieces.select_related("hold").order_by("pk"):
        # An undone sale can bring a piece back after the end: each giving back has its own key.
        key = f"early-end:{each.hold_id}:{each.hold.lines.count()}"
        holds.release(key=key, hold=each.hold, who=who, now=now, reason=why)
        count += 1
    return count


def return_if_ended(*, hold: Hold, who: User, now: datetime.datetime) -> None:
    """Give a piece that came back to a release which has ended on to free stock."""
    ended = EarlyRelease.objects.filter(ended_at__isnull=False)
    release = ended.filter(pieces__hold=hold).first()
    if release is not None:
        release_all(release, f"“{release}” has ended", who, now)


def held_for(release: EarlyRelease, ware: Ware, grade: str) -> list[Hold]:
    """Return the holds of a release on one ware and grade that still hold a piece."""
    found = Hold.objects.filter(ware=ware, grade=grade, quantity__gt=0)
    numbers = release.pieces.values("hold_id")
    return list(found.filter(pk__in=numbers).select_related("place").order_by("place_id", "pk"))


def _one_aside(
    key: str,
    release: EarlyRelease,
    ware: Ware,
    grade: str,
    at: Place,
    who: User,
    now: datetime.datetime,
) -> EarlyPiece:
    """Hold one piece for a release."""
    held = holds.hold(
        key=key,
        ware_id=ware.pk,
        grade=grade,
        at=at,
        purpose=Hold.Purpose.EARLY_RELEASE,
        label=f"Early release “{release.name}”",
        who=who,
        now=now,
    )
    return EarlyPiece.objects.create(release=release, hold=held)


def refuse_over(release: EarlyRelease, today: datetime.date) -> None:
    """Refuse (NotNow) what can only be done before a release has ended."""
    if release.ended_at is not None or release.is_over(today):
        raise NotNow(f"“{release}” has ended. Nothing was changed.")


def ledger_knows(key: str) -> bool:
    """Tell whether an entry of this key has been made."""
    return Entry.objects.filter(key=key).exists()


def one_place(chosen: Sequence[Hold], quantity: int) -> list[Hold]:
    """Return so many holds that stand at one place, or [] where no place has as many."""
    by_place: dict[int, list[Hold]] = {}
    for hold in chosen:
        by_place.setdefault(hold.place_id, []).append(hold)
    for at_place in by_place.values():
        if len(at_place) >= quantity:
            return at_place[:quantity]
    return []
