"""Tests can empty the append-only tables between them, and the rule stands again after it."""

import pytest
from django.db import IntegrityError, connection
from django.test import TransactionTestCase

from tests.factories import NOW, UserFactory
from vendor.ledger import triggers
from vendor.ledger.models import Entry


@pytest.mark.django_db(transaction=True)
def test_tables_are_emptied_and_the_rule_stands_again() -> None:
    """What happens at the end of a test that commits, here in its middle."""
    entry = Entry.objects.create(
        key="a",
        digest="b",
        kind=Entry.Kind.FINDING,
        day=NOW,
        happened_at=NOW,
        recorded_at=NOW,
        who=UserFactory(),
    )
    with pytest.raises(IntegrityError):
        entry.delete()
    TransactionTestCase("run")._fixture_teardown()
    assert not Entry.objects.exists()
    assert triggers.missing(connection) == []
