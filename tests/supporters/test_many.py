"""The work lists ask a fixed number of times, and every page passes the checks of WCAG 2.2 AA."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from tests.browsing import assert_accessible
from tests.factories import NOW, TierFactory, stocked
from tests.supporters.makers import kept, keyed, level, pays, promised, reward
from vendor.firings import actions as firings
from vendor.firings import unloading
from vendor.firings.models import Firing, Kiln
from vendor.house.models import User
from vendor.supporters import actions, choosing, offering, online, rules, work
from vendor.supporters.models import ContributionFile, EarlyRelease, Question, ShopSale, Supporter
from vendor.ware.models import Ware


@pytest.fixture
def busy(owner: User, ines: Supporter, tumbler: Ware) -> Firing:
    """Promises at several stages, a firing, a release, an online sale."""
    stocked(tumbler, 9, who=owner, key="nine")
    gift = reward(owner, "A tumbler", 2, form=tumbler.form)
    rules.save_question(
        question=Question(reward=gift, kind="finish", name="Glaze"), who=owner, now=NOW
    )
    pays(ines, level(owner, "Friend", 2, usual_reward=gift), owner, 6, 8, 9, 10)
    actions.promise_reward(key="r", supporter=ines, reward=gift, who=owner, now=NOW)
    for day in (-3, 5, 40):
        due = NOW.date() + datetime.timedelta(days=day)
        promised(ines, tumbler, owner, due_on=due)
    kept(promised(ines, tumbler, owner), owner)
    made = promised(ines, tumbler, owner)
    choosing.start_making(key="m", commitment=made, note="Board 2", who=owner, now=NOW)
    release = offering.open_early_release(
        key="e", name="Letter", opens_on=NOW.date(), closes_on=datetime.date(2030, 1, 1),
        tier=TierFactory(), who=owner, now=NOW,
    )  # fmt: skip
    more: Any = {"ware": tumbler, "who": owner, "now": NOW}
    offering.set_aside(key="a", release=release, quantity=2, **more)
    online.sell_set_aside(key="s", release=release, quantity=1, price=3400, **more)
    facts = firings.Facts(
        firings.save_kiln(kiln=Kiln(name="Front loader"), who=owner, now=NOW),
        Firing.Kind.GLAZE,
        "6",
        NOW.date(),
    )
    firing = firings.record_firing(
        key="f", facts=facts, loads=[firings.Load(tumbler.pk, 3)], who=owner, now=NOW
    )
    count = unloading.Count(firing.lines.get().pk, 3)
    return unloading.unload_firing(firing=firing, counts=[count], who=owner, now=NOW)


@pytest.mark.django_db
def test_the_work_lists_ask_a_fixed_number_of_times(
    busy: Firing, ines: Supporter, tumbler: Ware, owner: User, django_assert_num_queries: Any
) -> None:
    """However many promises there are."""
    for _ in range(2):
        with django_assert_num_queries(2):
            assert work.to_make().to_make.count
        with django_assert_num_queries(2):
            assert [each.said for parcel in work.to_send() for each in parcel.commitments]
        with django_assert_num_queries(3):
            assert [each.piece_name for row in work.keepable(busy) for each in row.exact]
        kept(promised(ines, tumbler, owner), owner)
        promised(ines, tumbler, owner)


@pytest.mark.browser
@pytest.mark.sqlite  # What a page looks like does not depend on the database.
@pytest.mark.django_db(transaction=True)
def test_every_page_is_accessible_with_everything_unfolded(
    phone: Page, log_in: Callable[[Page, Any], None], busy: Firing, ines: Supporter, owner: User
) -> None:
    """On a phone: no violation, nothing wider than the screen."""
    client = Client()
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    upload = SimpleUploadedFile("a.csv", b"Name,Amount,Date\nInes Quill,5,2026-05-01\n,1,\n")
    client.post(reverse("supporters:import"), keyed(file=upload))
    log_in(phone, owner)
    file = ContributionFile.objects.get().pk
    pages: list[tuple[Any, ...]] = [
        ("index",), ("held",), ("new",), ("promise", 1), ("promise", 2), ("promise", 5),
        ("making",), ("to_send",), ("from_firing", busy.pk), ("earned",), ("supporters",),
        ("new_supporter",), ("supporter", ines.pk), ("contributions",), ("new_contribution",),
        ("month",),
        ("contribution", ines.contributions.first().pk), ("import",), ("file", file), ("rules",),
        ("new_level",), ("releases",), ("release_page", EarlyRelease.objects.get().pk),
        ("online",), ("shop_sales",),
        ("shop_sale", ShopSale.objects.get().pk),
    ]  # fmt: skip
    for name, *args in pages:
        phone.goto(reverse(f"supporters:{name}", args=args))
        phone.evaluate("document.querySelectorAll('details').forEach((each) => each.open = true)")
        assert_accessible(phone)
        wide = "document.documentElement.scrollWidth > document.documentElement.clientWidth"
        assert not phone.evaluate(wide), name
