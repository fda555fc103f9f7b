"""Who works at the fair."""

import pytest

from tests.factories import OwnerFactory
from vendor.house.models import User


@pytest.fixture
def owner() -> User:
    """The owner of the studio."""
    return OwnerFactory()
