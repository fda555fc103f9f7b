"""The studio's settings, once there is something in the books."""

import pytest
from django.forms.models import model_to_dict
from django.test import Client
from django.urls import reverse

from tests.factories import OwnerFactory, PriceFactory, StudioFactory
from vendor.house.models import Studio

pytestmark = pytest.mark.django_db


def test_the_level_of_restocking_is_said_by_two_costs(client: Client) -> None:
    """24.00 for a missed sale and 6.00 for a piece too many: 80 weekends of a hundred."""
    studio = StudioFactory(service_level_percent=60)
    client.force_login(OwnerFactory())
    address, told = reverse("studio:settings"), model_to_dict(studio)
    half = client.post(address, told | {"missed": "24"}).content.decode()
    assert "Both are needed" in half
    free = client.post(address, told | {"missed": "24.00", "carried": "0"}).content.decode()
    assert "above zero" in free
    assert Studio.objects.get().service_level_percent == 60
    assert client.post(address, told | {"missed": "24.00", "carried": "6"}).status_code == 302
    assert Studio.objects.get().service_level_percent == 80


def test_the_currency_stays_once_anything_has_a_price(client: Client) -> None:
    """3400 is 34.00 dollars, and would be 3,400 yen."""
    studio = StudioFactory()
    client.force_login(OwnerFactory())
    address, told = reverse("studio:settings"), model_to_dict(studio)
    assert client.post(address, told | {"currency": "KWD"}).status_code == 302
    PriceFactory()
    answer = client.post(address, told | {"currency": "JPY"})
    assert answer.status_code == 409
    assert "prices or payments in KWD already" in answer.content.decode()
    assert client.post(address, told | {"currency": "KWD", "name": "Tansy"}).status_code == 302
    assert (Studio.objects.get().currency, Studio.objects.get().name) == ("KWD", "Tansy")
