"""What no form of ours sends is refused with a sentence, never with a page of a fault."""

import logging

import pytest
from django.db import DataError
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from tests.factories import NOW, OwnerFactory, StudioFactory
from tests.fairs.makers import a_fair, weekends_of
from vendor.fairs.models import PackingList
from vendor.house.middleware import StudioMiddleware

pytestmark = pytest.mark.django_db


def test_a_text_with_a_nul_is_refused_before_anything_is_done(client: Client) -> None:
    """SQLite would keep it and PostgreSQL would not."""
    owner = OwnerFactory()
    [weekend] = weekends_of(a_fair(owner), owner, count=1)
    client.force_login(owner)
    address = reverse("fairs:start_list", args=[weekend.pk])
    for sent in ({"key": "a\0b"}, {"key": "k", "note": "by\0"}):
        answer = client.post(address, sent)
        assert answer.status_code == 400
        assert b"Nothing was changed" in answer.content
    assert not PackingList.objects.exists()


@pytest.mark.parametrize("fault", [DataError("value too long"), OverflowError("int too large")])
def test_what_is_larger_than_a_column_is_told_in_words(
    fault: Exception, caplog: pytest.LogCaptureFixture
) -> None:
    """The last line behind the forms; it is written down for whoever looks after the program."""
    request = RequestFactory().post("/")
    request.user = OwnerFactory()
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    with caplog.at_level(logging.ERROR):
        answer = StudioMiddleware(lambda _: HttpResponse()).process_exception(request, fault)
    assert answer is not None
    assert answer.status_code == 400
    assert "larger than can be kept. Nothing was changed" in answer.content.decode()
    assert "could not keep a value" in caplog.text


def test_two_taps_take_a_login_away_once(client: Client) -> None:
    """The second tap does not give it back."""
    StudioFactory()
    owner, gone = OwnerFactory(), OwnerFactory(date_joined=NOW)
    client.force_login(owner)
    assert b'value="away"' in client.get(reverse("studio:people")).content
    for _ in range(2):
        client.post(reverse("studio:let_in", args=[gone.pk]), {"login": "away"})
        gone.refresh_from_db()
        assert not gone.is_active
    client.post(reverse("studio:let_in", args=[gone.pk]), {"login": "back"})
    gone.refresh_from_db()
    assert gone.is_active
