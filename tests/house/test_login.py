"""At the door: a name as a phone writes it, and what is said to a wrong one."""

import pytest
from django.test import Client

from tests.factories import UserFactory

PASSWORD = "three grey herons"
pytestmark = pytest.mark.django_db


def log_in(client: Client, name: str, password: str = PASSWORD) -> object:
    """Send the form; the address led to, or what the page says."""
    answer = client.post("/login/", {"username": name, "password": password})
    return answer.get("Location") or answer.content.decode()


@pytest.mark.parametrize("typed", ["robin", "Robin", "ROBIN"])
def test_a_name_is_known_with_capitals_or_without(typed: str, client: Client) -> None:
    """A phone begins a name with one."""
    person = UserFactory(username="robin")
    person.set_password(PASSWORD)
    person.save()
    assert log_in(client, typed) == "/"


def test_of_two_that_differ_by_capitals_each_is_its_own(client: Client) -> None:
    """And a third spelling is neither."""
    for name in ("robin", "Robin"):
        person = UserFactory(username=name)
        person.set_password(f"{PASSWORD}, {name}")
        person.save()
    assert log_in(client, "Robin", f"{PASSWORD}, Robin") == "/"
    client.logout()
    assert "Not logged in" in str(log_in(client, "ROBIN", f"{PASSWORD}, robin"))


def test_a_wrong_password_is_told_in_the_words_of_the_door(client: Client) -> None:
    """Nothing was to be saved, so nothing is said of saving."""
    UserFactory(username="robin")
    said = str(log_in(client, "robin", "wrong"))
    assert "Not logged in" in said
    assert "No login has this name and password." in said
    assert "Name to log in with" in said
    assert "Not saved yet" not in said
