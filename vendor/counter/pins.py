"""PINs: by a short number a person says on a shared device who sells. Never a login.

The server hands out a signed pass for a right PIN; the sales that the person takes carry it, so
that they can be sent later under whatever login the device then has.
"""

import datetime
import re

from django.contrib.auth.hashers import check_password, make_password
from django.core import signing
from django.db import models, transaction

from vendor.counter.errors import NotYours, WrongPin
from vendor.house.models import User

SHAPE = re.compile(r"[0-9]{4,8}")
MOST_MISSES = 5
SHUT_FOR = datetime.timedelta(minutes=5)
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
    return Pin.objects.update_or_create(user=user, defaults=fresh)[0]


def pass_for(*, user: User, pin: str, now: datetime.datetime) -> str:
    """Return a pass to sell as a person; WrongPin for another PIN, and for a while after five."""
    with transaction.atomic():
        held = Pin.objects.select_for_update().filter(user=user, user__is_active=True).first()
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
    return signing.dumps(user.pk, salt=_SALT)


def seller_of(given: str) -> User | None:
    """Return whom a pass is of, or None where it is none of ours."""
    try:
        return User.objects.filter(pk=signing.loads(given, salt=_SALT)).first()
    except signing.BadSignature:
        return None


def sellers() -> list[User]:
    """Return the people who have a PIN, by name (one statement)."""
    people = User.objects.filter(counter_pin__isnull=False, is_active=True)
    return list(people.order_by("first_name", "username"))
