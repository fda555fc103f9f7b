"""The till's page: float, paid in, paid out."""

import pytest
from django.test import Client

from tests.factories import NOW, OwnerFactory, StudioFactory, TierFactory, UserFactory
from vendor.counter.models import TillMovement
from vendor.fairs import planning
from vendor.house import clock

pytestmark = pytest.mark.django_db
PAGE = "/sell/cash/"


@pytest.fixture
def helper_client(client: Client) -> Client:
    """A helper's browser, with a weekend on."""
    studio = StudioFactory()
    owner = OwnerFactory()
    terms = planning.Terms(tier=TierFactory())
    fair = planning.open_fair(name="Oxmere Mill", terms=terms, who=owner, now=NOW)
    today = clock.day_of(clock.now(), studio)
    planning.plan_weekends(fair=fair, first_day=today, count=1, who=owner, now=NOW)
    client.force_login(UserFactory(), "django.contrib.auth.backends.ModelBackend")
    return client


def told(client: Client, **changed: str) -> dict[str, str]:
    """Return the page's form as filled in, with changes."""
    form = client.get(PAGE).context["form"]
    weekend = form.fields["weekend"].choices[0][0]
    filled = {"key": "k1", "weekend": weekend, "kind": "paid_out", "amount": "6.40"}
    return filled | {"reason": "paper bags"} | changed


def test_paying_out_twice_with_the_back_button_pays_out_once(helper_client: Client) -> None:
    """The form's key makes it once."""
    filled = told(helper_client)
    for _ in range(2):
        assert helper_client.post(PAGE, filled).status_code == 302
    (moved,) = TillMovement.objects.all()
    assert (moved.kind, moved.amount, moved.reason) == ("paid_out", 640, "paper bags")
    assert "$6.40" in helper_client.get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"amount": ""}, "still empty"),
        ({"amount": "-5"}, "below zero"),
        ({"amount": "0"}, "above zero"),
        ({"amount": "1e9"}, "can’t be read"),
        ({"amount": "sehr viel"}, "can’t be read"),
        ({"amount": "99999999999999999"}, "saved"),
        ({"reason": ""}, "what the cash was for"),
        ({"weekend": "999"}, ""),
    ],
)
def test_bad_input_is_told_and_what_was_typed_is_kept(
    changed: dict[str, str], said: str, helper_client: Client
) -> None:
    """Nothing is half entered."""
    filled = told(helper_client, **changed)
    page = helper_client.post(PAGE, filled).content.decode().replace("&#x27;", "’")
    assert said in page.replace("can't", "can’t")
    assert f'value="{filled["reason"]}"' in page or not filled["reason"]
    assert not TillMovement.objects.exists()
