"""PINs: by a short number a person says on a shared device who sells. Never a login.

A sale names its seller by number. That word is good under their own login, under the owner's, and
on a device on whose login their PIN was given within a day. The pass for it stays on the server,
with the login it was given on, so that the browser has nothing to lose; it ends with that login,
with a changed PIN or password, and with a login that was shut.
"""

import datetime
import re
from collections.abc import Collection, Mapping

from django.contrib.auth.hashers import check_password, make_password
from django.core import signing
from django.db import models, transaction
from django.utils.crypto import constant_time_compare, salted_hmac

from vendor.counter.errors import NotYours, WrongPin
from vendor.house import changes
from vendor.house.models import Change, User
from vendor.house.turns import take_turn

SHAPE = re.compile(r"[0-9]{4,8}")
MOST_MISSES = 5
SHUT_FOR = datetime.timedelta(minutes=5)
PASS_LASTS = datetime.timedelta(days=1)
_SALT = "vendor.counter.seller"


class Pin(models.Model):
    """The number of one person, hashed."""

    user = models.OneToOneField("house.User", on_delete=models.CASCADE, related_name="counter_pin")
    secret = models.CharField(max_length=200, help_text="Hashed, like a password.")
    set_at = models.DateTimeField()
    misses = models.PositiveIntegerField(default=0, help_text="Wrong tries since the last right.")
    shut_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        app_label = "counter"

    def __str__(self) -> str:
        return f"PIN of {self.user}"


def set_pin(*, user: User, pin: str, who: User, now: datetime.datetime) -> Pin:
    """Give a person a PIN of 4 to 8 digits; everybody their own, the owner anybody's."""
    if who.pk != user.pk and not who.is_owner:
        raise NotYours("Everybody sets their own PIN. Nothing was changed.")
    if not SHAPE.fullmatch(pin) or len(set(pin)) == 1:
        raise WrongPin("A PIN has 4 to 8 digits, not all the same. Nothing was changed.")
    fresh = {"secret": make_password(pin), "set_at": now, "misses": 0, "shut_until": None}
    with transaction.atomic():
        take_turn()
        held = Pin.objects.update_or_create(user=user, defaults=fresh)[0]
        changes.note(user, Change.What.CHANGED, [("PIN", None, None)], who=who, now=now)
    return held


def pass_for(*, user: User, pin: str, now: datetime.datetime) -> list[str]:
    """Return a pass to sell as a person, for `vouched`; plain text, to be kept with a login.

    WrongPin for another PIN, and for a while after five of them.
    """
    with transaction.atomic():
        held = (
            Pin.objects.select_for_update(of=("self",))
            .select_related("user")
            .filter(user=user, user__is_active=True)
            .first()
        )
        if held is None:
            raise WrongPin(f"{user} has no PIN yet.")
        if held.shut_until is not None and held.shut_until > now:
            raise WrongPin("Too many wrong tries: wait five minutes, or log in with the password.")
        right = check_password(pin, held.secret)
        held.misses = 0 if right else held.misses + 1
        held.shut_until = now + SHUT_FOR if held.misses >= MOST_MISSES else None
        if held.shut_until:
            held.misses = 0
        held.save(update_fields=["misses", "shut_until"])
    if not right:
        raise WrongPin("That is not the PIN. The one who sold before still sells.")
    return [now.isoformat(), _seal(held)]


def vouched(passes: Mapping[str, list[str]], *, now: datetime.datetime) -> frozenset[int]:
    """Return who may sell by these passes (by person's number), one statement where there are any.

    A pass of more than a day, of another PIN or password than now, or of a login that was shut
    counts for nothing.
    """
    fresh = {
        int(number): seal
        for number, (given_at, seal) in passes.items()
        if datetime.timedelta() <= now - datetime.datetime.fromisoformat(given_at) < PASS_LASTS
    }
    if not fresh:
        return frozenset()
    held = Pin.objects.filter(user__in=fresh, user__is_active=True).select_related("user")
    return frozenset(
        pin.user_id for pin in held if constant_time_compare(fresh[pin.user_id], _seal(pin))
    )


def _seal(pin: Pin) -> str:
    """Return a mark that changes with the person's PIN and with their password."""
    return salted_hmac(_SALT, f"{pin.user_id} {pin.secret} {pin.user.password}").hexdigest()


def seller_of(
    said: int | str, *, who: User, vouched_for: Collection[int] = frozenset()
) -> User | None:
    """Return who sold, as a document sent by `who` says; None where its word isn't good enough."""
    number = number_of(said)
    if not said or number == who.pk:
        return who
    if number is None or (number not in vouched_for and not who.is_owner):
        return None
    return User.objects.filter(pk=number, is_active=True).first()


def named_by(said: int | str) -> User | None:
    """Return whom a document names as its seller, whether or not its word is good enough."""
    number = number_of(said)
    return User.objects.filter(pk=number).first() if number is not None else None


def number_of(said: int | str) -> int | None:
    """Return the number of the person whom a document names, None for nobody.

    Devices of an earlier edition gave signed text instead; it still tells whom it means.
    """
    if isinstance(said, int):
        return said
    try:
        number = signing.loads(said, salt=_SALT)
    except signing.BadSignature:
        return None
    return number if isinstance(number, int) else None


def sellers() -> list[User]:
    """Return the people who have a PIN, by name (one statement)."""
    people = User.objects.filter(counter_pin__isnull=False, is_active=True)
    return list(people.order_by("first_name", "username"))
