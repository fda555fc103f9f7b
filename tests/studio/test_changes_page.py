"""The owner's page of changes, and the line on a thing's own page."""

import csv
import io

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import NOW, FormFactory, OwnerFactory, StudioFactory, UserFactory
from vendor.house.models import Change, User
from vendor.studio import actions as studio
from vendor.supporters import people
from vendor.ware import actions
from vendor.ware.models import Form

pytestmark = pytest.mark.django_db
PAGE = "studio:changes"


@pytest.fixture
def owner(client: Client) -> User:
    """The owner, logged in."""
    StudioFactory()
    owner: User = OwnerFactory()
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    return owner


def renamed(owner: User) -> Form:
    """A form that was called otherwise."""
    form: Form = FormFactory(name="Tumbler", code="TUM")
    form.name = "Beaker"
    return actions.save_form(form=form, who=owner, now=NOW)


def test_before_anything_was_changed_the_page_says_what_will_stand_there(
    client: Client, owner: User
) -> None:
    """And leads to the settings."""
    page = client.get(reverse(PAGE)).content.decode()
    assert "Nothing was changed yet" in page
    assert reverse("studio:settings") in page


def test_a_change_is_listed_with_who_and_when(client: Client, owner: User) -> None:
    """It leads to what was changed."""
    form = renamed(owner)
    page = client.get(reverse(PAGE)).content.decode()
    assert "name: Tumbler → Beaker" in page
    assert reverse("ware:form", args=[form.pk]) in page
    assert "Tansy" in page


def test_changes_are_found_narrowed_and_taken_away(client: Client, owner: User) -> None:
    """By name, kind, who and days; the file says what the page says."""
    renamed(owner)
    studio.add_person(
        username="robin", first_name="Robin", role="helper", password="a wet shelf of pots",
        who=owner, now=NOW,
    )  # fmt: skip
    for asked, count in (
        ("q=beaker", 1),
        ("q=robin", 1),
        ("q=nobody", 0),
        ("kind=person", 1),
        ("what=removed", 0),
        (f"who={owner.username}", 2),
        ("at_from=2026-12-03", 0),
        ("sort=-kind", 2),
    ):
        rows = _file(client, asked)
        assert len(rows) == count, asked
    (row,) = _file(client, "q=beaker")
    assert (row["What"], row["Kind"], row["From → to"]) == (
        "Beaker",
        "form",
        "name: Tumbler → Beaker",
    )


def test_people_are_called_by_the_name_they_have_today(client: Client, owner: User) -> None:
    """The note itself has none: who is erased is gone here too."""
    one = people.add_supporter(key="s", name="An invented name", who=owner, now=NOW)
    people.change_supporter(
        supporter=one, name="An invented name", email="a@example.org", who=owner, now=NOW
    )
    (row,) = _file(client, "kind=supporter")
    assert (row["What"], row["From → to"]) == ("An invented name", "email")
    people.erase_supporter(supporter=one, who=owner, now=NOW)
    assert "invented" not in client.get(reverse(PAGE)).content.decode()
    assert "invented" not in str(list(Change.objects.values()))


def test_a_things_own_page_says_who_changed_it_last(client: Client, owner: User) -> None:
    """With a way to all its changes."""
    form = renamed(owner)
    page = client.get(reverse("ware:form", args=[form.pk])).content.decode()
    assert "Changed by Tansy" in page
    assert f"{reverse(PAGE)}?kind=form&amp;q=Beaker" in page
    assert "Changed by" not in client.get(reverse("ware:new_form")).content.decode()


def test_what_was_changed_is_no_helpers_business(client: Client) -> None:
    """The page is the owner's alone."""
    StudioFactory()
    client.force_login(UserFactory(), "django.contrib.auth.backends.ModelBackend")
    assert client.get(reverse(PAGE)).status_code == 403


def _file(client: Client, asked: str) -> list[dict[str, str]]:
    answer = client.get(f"{reverse(PAGE)}?{asked}&_export=csv")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
