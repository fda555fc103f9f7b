"""Pieces that come and go other than by a sale, and bundles: their pages and their rules."""

import datetime
from collections.abc import Iterator

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, SATURDAY, Stall
from vendor.counter import bundling
from vendor.counter.bundles import Bundle
from vendor.counter.errors import NotYours
from vendor.house.models import User
from vendor.ledger.audit import audit
from vendor.ledger.models import Movement

FRIDAY = SATURDAY - datetime.timedelta(days=1)


@pytest.fixture
def devices(stall: Stall) -> Iterator[dict[str, Client]]:
    """The owner's and the helper's devices on Saturday."""
    with time_machine.travel(NOW, tick=False):
        yield {"owner": logged_in(stall.owner), "helper": logged_in(stall.helper)}


def logged_in(user: User) -> Client:
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.mark.parametrize(
    ("happening", "firsts", "seconds", "end"),
    [
        ("broken", 9, 2, "broken"),
        ("given", 9, 2, "given"),
        ("traded", 9, 2, "traded"),
        ("own_use", 9, 2, "own_use"),
        ("found", 11, 2, "stall"),
        ("chipped", 9, 3, "stall"),
    ],
)
def test_a_piece_comes_or_goes_with_a_reason(
    stall: Stall, devices: dict[str, Client], happening: str, firsts: int, seconds: int, end: str
) -> None:
    """By the helper, once by its key."""
    form = {
        "key": "k",
        "weekend": stall.weekend.pk,
        "happening": happening,
        "ware": stall.tumbler.pk,
        "grade": "first",
        "quantity": "1",
        "reason": "A dog's tail",
    }
    for _ in range(2):
        assert devices["helper"].post(reverse("counter:pieces"), form).status_code == 302
    assert (stall.left(stall.tumbler), stall.left(stall.tumbler, "second")) == (firsts, seconds)
    assert Movement.objects.latest("id").target.kind == end
    assert audit() == []


def test_more_than_there_is_and_no_reason_are_refused(
    stall: Stall, devices: dict[str, Client]
) -> None:
    """The form says why, and keeps what was typed."""
    form = {"key": "k", "weekend": stall.weekend.pk, "happening": "broken", "grade": "first"}
    form |= {"ware": stall.tumbler.pk, "quantity": "11", "reason": "Wind"}
    refused = devices["helper"].post(reverse("counter:pieces"), form)
    assert refused.status_code == 409
    assert b"has 10 of Tumbler, celadon" in refused.content
    assert devices["helper"].post(reverse("counter:pieces"), form | {"reason": ""}).context
    twice = form | {"happening": "chipped", "grade": "second", "quantity": "1"}
    assert b"a second already" in devices["helper"].post(reverse("counter:pieces"), twice).content
    assert stall.left(stall.tumbler) == 10


def test_a_bundle_is_made_shown_at_the_stall_and_ended(
    stall: Stall, devices: dict[str, Client]
) -> None:
    """The owner makes it; the page gets it; from today on it is over."""
    owner, helper = devices["owner"], devices["helper"]
    form = {"key": "k", "form": stall.tumbler.form.pk, "ware": "", "quantity": "3"}
    form |= {"price": "90.00", "from_date": FRIDAY.isoformat(), "to_date": "", "fair": ""}
    address = reverse("counter:bundles")
    assert helper.post(address, form).status_code == 403
    assert owner.post(address, form | {"ware": stall.bowl.pk}).status_code == 409
    assert owner.post(address, form | {"form": ""}).status_code == 409
    assert owner.post(address, form).status_code == 302
    assert owner.post(address, form).status_code == 302
    [rule] = helper.get(reverse("counter:stall")).json()["bundles"]
    assert (rule["name"], rule["form"], rule["quantity"], rule["price"]) == (
        ("3 for 90.00", "TUM", 3, 9000)
    )
    end = reverse("counter:end_bundle", args=[rule["id"]])
    assert helper.post(end).status_code == 403
    assert owner.post(end, follow=True).status_code == 200
    assert helper.get(reverse("counter:stall")).json()["bundles"] == []
    assert Bundle.objects.get().to_date == FRIDAY


def test_a_bundle_holds_from_its_day_at_its_fair(stall: Stall) -> None:
    """Not before, not after, and nowhere else; one that never began is gone when it is ended."""
    rule = bundling.make_bundle(
        key="k", quantity=3, price=9000, form=stall.tumbler.form, fair=stall.fair,
        from_date=SATURDAY, to_date=SATURDAY, who=stall.owner, now=NOW,
    )  # fmt: skip
    day = datetime.timedelta(days=1)
    for on, holds in ((FRIDAY, False), (SATURDAY, True), (SATURDAY + day, False)):
        assert Bundle.objects.in_force(fair=stall.fair, on=on).exists() is holds
    with pytest.raises(NotYours):
        bundling.end_bundle(bundle=rule, last=FRIDAY, who=stall.helper, now=NOW)
    bundling.end_bundle(bundle=rule, last=FRIDAY, who=stall.owner, now=NOW)
    assert not Bundle.objects.exists()
