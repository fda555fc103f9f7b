"""A browser for the pages of tags, at noon of the second of December."""

import pytest
from django.test import Client

from tests.labels.shop import NOON, logged_in, owner


@pytest.fixture
def pages(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    """A browser in which the owner is logged in."""
    monkeypatch.setattr("vendor.house.clock.now", lambda: NOON)
    return logged_in(client, owner())
