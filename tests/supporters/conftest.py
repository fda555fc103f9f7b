"""Who asks, who supports, and what stands on the shelf."""

import pytest
from django.test import Client

from tests.factories import NOW, OwnerFactory, StudioFactory, WareFactory, stocked
from vendor.house.models import User
from vendor.supporters import actions
from vendor.supporters.models import Supporter
from vendor.ware.models import Ware


@pytest.fixture
def owner(db: None) -> User:
    """The owner of a studio that is set up."""
    StudioFactory()
    return OwnerFactory()


@pytest.fixture
def desk(owner: User, client: Client) -> Client:
    """A browser in which the owner is logged in."""
    client.force_login(owner)
    return client


@pytest.fixture
def ines(owner: User) -> Supporter:
    """A supporter with an address."""
    return actions.add_supporter(
        key="ines", name="Ines Quill", email="ines@example.org", address="4 Salt Lane\nOxmere",
        who=owner, now=NOW,
    )  # fmt: skip


@pytest.fixture
def tumbler(owner: User) -> Ware:
    """A ware of which two stand on the shelf."""
    ware = WareFactory(form__name="Tumbler", finish__name="celadon")
    stocked(ware, 2, who=owner)
    return ware
