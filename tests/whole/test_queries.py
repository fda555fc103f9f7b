"""Every page takes the same number of statements, with the demo and with ten times the demo."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.whole.pages import furnished, pages
from tests.whole.tenfold import ten_times

MOST_STATEMENTS = 40


def counted(client: Client, paths: dict[str, str]) -> dict[str, int]:
    """Return how many statements each page takes."""
    found = {}
    for name, path in paths.items():
        with CaptureQueriesContext(
            connection,
        ) as statements:
            client.get(path)
        found[name] = len(statements)
    return found


@pytest.mark.django_db
def test_no_page_takes_more_statements_where_there_is_more_data() -> None:
    """A query in a loop would show here."""
    client = Client()
    client.force_login(furnished(), "django.contrib.auth.backends.ModelBackend")
    paths = pages(client)
    assert len(paths) > 20
    before = counted(client, paths)
    ten_times()
    after = counted(client, paths)
    grown = {name: (before[name], after[name]) for name in paths if after[name] > before[name]}
    assert grown == {}
    assert {name: count for name, count in after.items() if count > MOST_STATEMENTS} == {}
