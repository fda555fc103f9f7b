"""The stall that the counter's tests sell from."""

import pytest

from tests.counter.stalls import Stall


@pytest.fixture
def stall(db: None) -> Stall:
    """Oxmere Mill on its third Saturday."""
    return Stall()
