"""A promise on a phone, from an imported payment to a sent parcel, as an owner would walk it.

Worked by hand: Ines pays 12.00 a month for two credits; six months make twelve credits, a tumbler
costs six: two rewards earned. A firing brings three tumblers; two are held for her, so that two of
three can't be packed for the fair. One parcel, nothing owed.
"""

import datetime
import re
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browsing import Faults, assert_accessible
from tests.factories import (
    NOW,
    FinishFactory,
    FormFactory,
    OwnerFactory,
    PriceFactory,
    StudioFactory,
    WareFactory,
)
from vendor.fairs.models import PackingLine, PackingList, Weekend
from vendor.firings import actions as firings
from vendor.firings.models import Firing, Kiln
from vendor.house import clock
from vendor.house.models import User
from vendor.ledger.audit import audit
from vendor.ledger.models import Entry
from vendor.supporters import rules
from vendor.supporters.models import (
    Commitment,
    Contribution,
    Level,
    Parcel,
    Question,
    Reward,
    Step,
)
from vendor.ware.models import Ware

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MONTHS = "\n".join(
    ["Member,E-mail,Date,Amount,Status"]
    + [f"Ines Quill,ines@example.org,2026-{month:02d}-04,12.00,paid" for month in range(5, 11)]
    + ["Ines Quill,ines@example.org,soon,12.00,paid"]
)


@pytest.fixture
def tansy(transactional_db: None) -> User:
    """The owner of a studio with a level, a reward and its question."""
    StudioFactory()
    owner: User = OwnerFactory()
    now, january = clock.now(), datetime.date(2026, 1, 1)
    tumbler = rules.save_reward(
        reward=Reward(name="A tumbler", form=FormFactory(name="Tumbler", clay_g=400)),
        who=owner,
        now=NOW,
    )
    rules.save_question(
        question=Question(reward=tumbler, kind="finish", name="Glaze"), who=owner, now=NOW
    )
    rules.set_reward_terms(key="r", reward=tumbler, from_month=january, cost=6, who=owner, now=now)
    friend = rules.save_level(level=Level(name="Friend", usual_reward=tumbler), who=owner, now=NOW)
    rules.set_level_terms(
        key="l", level=friend, from_month=january, amount=1200, credits=2, who=owner, now=now
    )
    ware = WareFactory(form=tumbler.form, finish=FinishFactory(name="celadon"), code="TUM-CEL")
    PriceFactory(ware=ware)
    return owner


def counted_out(owner: User) -> Firing:
    """Record a firing of three tumblers."""
    ware = Ware.objects.get(code="TUM-CEL")
    kiln = firings.save_kiln(kiln=Kiln(name="Front loader"), who=owner, now=NOW)
    today = clock.now().date() - datetime.timedelta(days=1)
    return firings.record_firing(
        key="f", facts=firings.Facts(kiln, Firing.Kind.GLAZE, "6", today),
        loads=[firings.Load(ware.pk, 3)], who=owner, now=clock.now(),
    )  # fmt: skip


def tap(page: Page, name: str | re.Pattern[str]) -> None:
    """Tap the first button of that name."""
    page.get_by_role("button", name=name).first.click()


def twice(page: Page, name: str | re.Pattern[str]) -> None:
    """Tap a button, and let the network send its form a second time: the same answer, or a 409."""
    with page.expect_request(lambda sent: sent.method == "POST") as sent:
        tap(page, name)
    page.wait_for_load_state()
    form = sent.value
    again = page.request.post(
        form.url,
        data=form.post_data_buffer,
        headers={"Content-Type": form.headers["content-type"]},
        max_redirects=0,
    )
    assert again.status in {302, 409}, again.text()


def test_from_an_imported_payment_to_a_sent_parcel(
    phone: Page, log_in: Callable[[Page, Any], None], tansy: User, faults: Faults
) -> None:
    """Import, earn, choose, hold at unloading, send: nothing is owed at the end.

    Every form arrives twice, and everything is there once.
    """
    faults.allow("409")  # packing a promised piece is refused on purpose
    log_in(phone, tansy)
    phone.set_default_timeout(15_000)
    import_months(phone)
    two_rewards_earned(phone)
    for number in (1, 2):
        write_choices(phone, number)
    phone.goto("/promises/making/")
    expect(phone.locator("main")).to_contain_text("throw 2 Tumbler; glaze 2 in celadon")
    assert_accessible(phone)
    hold_at_unloading(phone, tansy)
    the_packing_list_refuses_them(phone)
    send_both(phone)
    assert not Commitment.objects.open().exists()
    everything_is_there_once()
    assert audit() == []


def import_months(phone: Page) -> None:
    """Six months and a row that can't be read, looked at before anything is written."""
    phone.goto("/promises/contributions/import/")
    phone.get_by_label("CSV or XLSX file").set_input_files(
        {"name": "months.csv", "mimeType": "text/csv", "buffer": MONTHS.encode()}
    )
    tap(phone, "Look at it")
    expect(phone.get_by_label("Name: which column")).to_have_value("Member")
    assert_accessible(phone)
    twice(phone, "Look at every row")
    expect(phone.locator("main")).to_contain_text("can't be read as a day")
    assert_accessible(phone)
    twice(phone, "Import these rows")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("is imported")
    expect(phone.locator("dl.facts")).to_contain_text("Added6")
    phone.get_by_role("link", name="See what is earned").click()


def two_rewards_earned(phone: Page) -> None:
    """Twelve credits, two tumblers; going back and sending it again promises nothing more."""
    expect(phone.locator("main")).to_contain_text("12 credits")
    assert_accessible(phone)
    twice(phone, "Promise what everyone saves for")
    expect(phone.locator("main")).to_contain_text("2 promises are written down")
    phone.goto("/promises/earned/")
    expect(phone.locator("main")).to_contain_text("0 of 6 toward A tumbler")


def write_choices(phone: Page, number: int) -> None:
    """Ask, then write the answer down."""
    phone.goto(f"/promises/{number}/")
    twice(phone, "I have asked")
    expect(phone.locator("main")).to_contain_text("Choices asked")
    phone.get_by_label("Glaze").select_option("celadon")
    twice(phone, "Write the choices down")
    expect(phone.locator("main")).to_contain_text("Choices known")
    assert_accessible(phone)


def hold_at_unloading(phone: Page, owner: User) -> None:
    """Count the firing out, and hold two of its three tumblers with a tap each."""
    from vendor.firings import unloading

    firing = counted_out(owner)
    count = unloading.Count(firing.lines.get().pk, 3)
    unloading.unload_firing(firing=firing, counts=[count], who=owner, now=clock.now())
    phone.goto(f"/fire/{firing.pk}/")
    phone.get_by_role("link", name="Set aside for promises").click()
    for left in ("3 free firsts", "2 free firsts"):
        expect(phone.locator("main")).to_contain_text(left)
        assert_accessible(phone)
        twice(phone, re.compile("^Hold one"))
    expect(phone.locator("main")).to_contain_text("No promise waits for these")


def the_packing_list_refuses_them(phone: Page) -> None:
    """Three stand on the shelf and one is free: three are refused, one is put on the list."""
    phone.goto("/pack/fairs/new/")
    phone.get_by_label(re.compile("^Name")).first.fill("Oxmere Mill Winter Fair")
    phone.get_by_label(re.compile("^Tax rate")).first.fill("7.25")
    phone.locator("main button[type=submit]").last.click()
    today = clock.now().date()
    phone.get_by_label(re.compile("^First day")).first.fill(today.isoformat())
    phone.get_by_label(re.compile("^How many weekends")).first.fill("1")
    twice(phone, "Plan the weekends")
    phone.goto("/pack/")
    twice(phone, "Begin a packing list")
    pieces = phone.get_by_label(re.compile("^Tumbler, celadon: pieces"))
    pieces.fill("3")
    tap(phone, "Put on the list")
    expect(phone.locator("main")).to_contain_text("1 free, 2 more held")
    pieces.fill("1")
    twice(phone, "Put on the list")


def send_both(phone: Page) -> None:
    """One parcel with both, by one form."""
    phone.goto("/promises/sending/")
    expect(phone.locator("main")).to_contain_text("No address yet")
    phone.get_by_text("It is sent").click()
    phone.get_by_label("Carrier").fill("By boat")
    phone.get_by_label("Postage").fill("8.50")
    assert_accessible(phone)
    twice(phone, re.compile("^Sent to Ines"))
    expect(phone.locator("main")).to_contain_text("Sent: Promise 1, Promise 2.")
    phone.goto("/promises/")
    expect(phone.locator("main")).to_contain_text("Nothing is owed")


def everything_is_there_once() -> None:
    """Six months, two promises with their five steps each, one list with a piece, one parcel."""
    assert Contribution.objects.count() == 6
    steps = Counter(Step.objects.values_list("what", flat=True))
    assert steps == dict.fromkeys(["promised", "asked", "chosen", "held", "sent"], 2)
    assert [line.quantity for line in PackingLine.objects.all()] == [1]
    assert PackingList.objects.count() == Weekend.objects.count() == Parcel.objects.count() == 1
    assert Entry.objects.filter(kind="sending").count() == 2
