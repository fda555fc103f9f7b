"""The stall of a fair of two weekends, its owner and a helper."""

import pytest

from tests.closing.makers import Stall
from tests.factories import OwnerFactory, UserFactory
from tests.fairs.makers import a_fair, weekends_of
from vendor.house.models import User


@pytest.fixture
def owner() -> User:
    """The owner of the studio."""
    return OwnerFactory()


@pytest.fixture
def helper() -> User:
    """A helper at the stall."""
    return UserFactory()


@pytest.fixture
def stall(owner: User) -> Stall:
    """The stall of a fair of two weekends, with nothing on it yet."""
    first, second = weekends_of(a_fair(owner), owner, count=2)
    return Stall(owner, first, second)
