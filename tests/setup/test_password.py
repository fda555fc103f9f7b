"""`manage.py password NAME`: the way back in."""

import getpass
import io
from collections.abc import Iterable
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from tests.factories import OwnerFactory, StudioFactory
from vendor.house.models import Change, User

NEW = "a shelf of celadon bowls"
pytestmark = pytest.mark.django_db


@pytest.fixture
def tansy() -> User:
    """The owner, who has forgotten the password."""
    StudioFactory()
    tansy: User = OwnerFactory(username="tansy")
    return tansy


def typed(monkeypatch: pytest.MonkeyPatch, texts: Iterable[str]) -> None:
    """Type these in turn where a password is asked for."""
    left = iter(texts)
    monkeypatch.setattr(getpass, "getpass", lambda _: next(left))


def test_a_new_password_lets_the_owner_in_at_once(
    monkeypatch: pytest.MonkeyPatch, client: Client, tansy: User, settings: Any
) -> None:
    """Even where too many tries have locked the name; and it is written down that it was set."""
    settings.AXES_ENABLED = True
    login = reverse("house:login")
    for _ in range(9):
        locked = client.post(login, {"username": "tansy", "password": "one of many guesses"})
    assert locked.status_code == 429
    typed(monkeypatch, ["short", "short", NEW, "not the same", NEW, NEW])
    said = io.StringIO()
    call_command("password", "tansy", stdout=said, stderr=io.StringIO())
    assert "Tansy has a new password" in said.getvalue()
    assert client.post(login, {"username": "tansy", "password": NEW}).status_code == 302
    kept = Change.objects.get()
    assert (kept.who, kept.fields) == (tansy, [["password", None, None]])


def test_after_three_tries_the_old_one_still_holds(
    monkeypatch: pytest.MonkeyPatch, tansy: User
) -> None:
    """Nothing is half-changed."""
    typed(monkeypatch, ["short"] * 6)
    with pytest.raises(CommandError, match="the old password still holds"):
        call_command("password", "tansy", stderr=io.StringIO())
    assert not Change.objects.exists()


def test_a_name_that_nobody_has_is_told_with_those_there_are(tansy: User) -> None:
    """A name is forgotten as easily as a password."""
    with pytest.raises(CommandError, match="Nobody logs in as tansi.*There are: tansy"):
        call_command("password", "tansi")
