"""The pages of choices, making, sending, firings and offers; each form sent twice."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from tests.factories import (
    NOW,
    FinishFactory,
    FormFactory,
    PriceFactory,
    TierFactory,
    WareFactory,
    shelf,
    stocked,
)
from tests.supporters.makers import TODAY, at, kept, keyed, level, pays, promised, reward
from vendor.firings import actions as firings
from vendor.firings import unloading
from vendor.firings.models import Firing, Kiln
from vendor.house import clock
from vendor.house.models import User
from vendor.ledger import actions as ledger
from vendor.ledger.models import Place
from vendor.supporters import earning, rules
from vendor.supporters.models import Commitment, EarlyRelease, Question, ShopSale, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


@pytest.fixture(autouse=True)
def december(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is 2 December 2026."""
    monkeypatch.setattr(clock, "now", lambda: NOW)


def url(name: str, *args: Any) -> str:
    """Return the address of a page of the part."""
    return reverse(f"supporters:{name}", args=args)


def twice(desk: Client, address: str, form: dict[str, Any]) -> None:
    """Send a form twice; both times it leads on."""
    for _ in range(2):
        answer = desk.post(address, form)
        assert answer.status_code == 302, answer.content.decode()


def text(desk: Client, address: str) -> str:
    """Return a page."""
    answer = desk.get(address)
    assert answer.status_code == 200
    return str(answer.content.decode())


def printed(desk: Client, address: str) -> str:
    """Return the words of a PDF."""
    import io

    answer = desk.get(address)
    assert answer["Content-Type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return "\n".join(each.extract_text() for each in pages)


@pytest.fixture
def earned(ines: Supporter, owner: User) -> Commitment:
    """An earned tumbler of which glaze and size are to be chosen."""
    made = reward(owner, "A tumbler", 2, form=FormFactory(name="Tumbler", clay_g=400))
    FinishFactory(name="celadon")
    rules.save_question(
        question=Question(reward=made, kind="finish", name="Glaze"), who=owner, now=NOW
    )
    rules.save_question(
        question=Question(reward=made, kind="option", name="Size", options=["tall", "round"]),
        who=owner,
        now=NOW,
    )
    pays(ines, level(owner, "Friend", 2), owner, 11)
    return earning.promise_reward(key="p", supporter=ines, reward=made, who=owner, now=NOW)


def test_choices_are_asked_for_written_down_and_made(desk: Client, earned: Commitment) -> None:
    """From the letter to the making list, on screen and on paper."""
    here = url("promise", earned.number)
    assert "- Size: tall, round" in text(desk, here)
    twice(desk, url("ask", earned.number), keyed(back=here))
    assert "Choices missing" in text(desk, url("making"))
    questions = {each.kind: each.pk for each in Question.objects.all()}
    form = keyed(
        **{f"answer_{questions['finish']}": "celadon", f"answer_{questions['option']}": "tall"}
    )
    twice(desk, url("choose", earned.number), form)
    sentence = "throw 1 Tumbler (1 tall); glaze 1 in celadon"
    assert sentence in text(desk, url("making"))
    assert sentence in printed(desk, url("making_pdf"))
    twice(desk, url("change", earned.number), keyed(due_on="2026-12-24", choices="thin lip"))
    twice(desk, url("make", earned.number), keyed(note="Board 3"))
    assert "Board 3" in text(desk, url("making"))
    earned.refresh_from_db()
    assert (earned.state, earned.due_on) == (State.MAKING, datetime.date(2026, 12, 24))
    assert earned.steps.count() == 5
    assert "Nothing is to be made" in printed(desk, url("making_pdf"))


def unloaded(ware: Ware, owner: User, firsts: int, seconds: int = 0) -> Firing:
    """Fire a ware and count it out."""
    kiln = firings.save_kiln(kiln=Kiln(name="Front loader"), who=owner, now=NOW)
    facts = firings.Facts(kiln, Firing.Kind.GLAZE, "6", TODAY)
    loads = [firings.Load(ware.pk, firsts + seconds)]
    firing = firings.record_firing(key="f", facts=facts, loads=loads, who=owner, now=NOW)
    count = unloading.Count(firing.lines.get().pk, firsts, seconds)
    return unloading.unload_firing(firing=firing, counts=[count], who=owner, now=NOW)


def test_pieces_are_held_at_unloading_with_a_tap(
    desk: Client, ines: Supporter, owner: User
) -> None:
    """Just what was promised first, near ones after; seconds only where they are allowed."""
    ware = WareFactory(form__name="Tumbler")
    exact = promised(ines, ware, owner)
    near = promised(ines, WareFactory(form=ware.form), owner)
    other = promised(ines, WareFactory(), owner)
    firing = unloaded(ware, owner, 1, 1)
    here = url("from_firing", firing.pk)
    shown = text(desk, here)
    assert "just this" in shown
    assert "near it" in shown
    assert str(other) not in shown
    twice(desk, url("keep", exact.number), keyed(ware=ware.pk, back=here))
    assert at(shelf(), ware) == (1, 1)
    assert "No promise waits for these" in text(desk, here)
    Commitment.objects.filter(pk=near.pk).update(seconds_allowed=True)
    assert "Hold a second" in text(desk, here)
    twice(desk, url("keep", near.number), keyed(ware=ware.pk, grade="second", back=here))
    assert at(shelf(), ware, "second") == (1, 1)


def test_a_firing_that_is_not_unloaded_keeps_nothing_yet(desk: Client, owner: User) -> None:
    """Count it out first."""
    kiln = firings.save_kiln(kiln=Kiln(name="Front loader"), who=owner, now=NOW)
    facts = firings.Facts(kiln, Firing.Kind.GLAZE, "6", TODAY)
    loads = [firings.Load(WareFactory().pk, 3)]
    firing = firings.record_firing(key="f", facts=facts, loads=loads, who=owner, now=NOW)
    assert "Not unloaded yet" in text(desk, url("from_firing", firing.pk))


def test_held_pieces_are_packed_with_a_slip_and_sent_together(
    desk: Client, ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Two pieces, one parcel; slip, list and labels carry the address, the ledger does not."""
    both = [kept(promised(ines, tumbler, owner, choices="Two hares"), owner) for _ in range(2)]
    for one in both:
        twice(desk, url("pack", one.number), keyed())
    assert "packed" in text(desk, url("to_send"))
    twice(desk, url("pack", both[0].number), keyed(out="1"))
    slip = printed(desk, url("slip", ines.pk))
    for said in ("4 Salt Lane", "Tumbler, celadon", "Two hares", "laboratory test", "chips"):
        assert said in slip
    assert "food safe" not in slip.lower()
    assert "Ines Quill" in printed(desk, url("sending_pdf"))
    labels = url("labels") + "?columns=3&rows=8&skip=4"
    assert "4 Salt Lane" in printed(desk, labels)
    form = keyed(number=[one.number for one in both], carrier="By boat", cost="8.50")
    twice(desk, url("send_parcel", ines.pk), form)
    assert {each.state for each in Commitment.objects.all()} == {State.SENT}
    assert Commitment.objects.values("parcel").distinct().count() == 1
    assert "Nothing to send" in text(desk, url("to_send"))
    for gone in (url("slip", ines.pk), labels, url("labels") + "?columns=99"):
        assert desk.get(gone).status_code == 302


def test_an_early_release_from_planning_to_its_end(
    desk: Client, tumbler: Ware, owner: User
) -> None:
    """Set aside, told in a letter, sold, some given back, ended."""
    tier = TierFactory()
    PriceFactory(ware=tumbler, tier=tier, amount=3400)
    stocked(tumbler, 3, who=owner, key="more")
    plan = keyed(name="Letter", opens_on="2026-12-01", closes_on="2026-12-09", tier=tier.pk)
    twice(desk, url("releases"), plan)
    release = EarlyRelease.objects.get()
    piece = {"ware": tumbler.pk, "grade": "first"}
    twice(desk, url("set_aside", release.pk), keyed(**piece, quantity=4))
    assert at(shelf(), tumbler) == (5, 4)
    shown = text(desk, url("release_page", release.pk))
    assert "Tumbler, celadon, $34.00 (4 left)" in shown
    taken = desk.get(url("release_file", release.pk, "csv")).content.decode()
    assert f'{tumbler.code},"Tumbler, celadon",first,34.00,USD,4' in taken
    sale = keyed(**piece, quantity=1, price="34.00", sold_on="2026-12-02", reference="A 1")
    twice(desk, url("sell_early", release.pk), sale)
    twice(desk, url("give_back", release.pk), keyed(**piece, quantity=1, reason="The fair"))
    twice(desk, url("end_release", release.pk), keyed(reason="All written to"))
    assert at(shelf(), tumbler) == (4, 0)
    assert "2 pieces returned" in text(desk, url("release_page", release.pk))
    assert "Letter" in text(desk, url("releases"))
    sold = ShopSale.objects.get()
    twice(desk, url("undo_sale", sold.pk), keyed(reason="Paid by mistake"))
    assert "Undone" in text(desk, url("shop_sale", sold.pk))
    assert at(shelf(), tumbler) == (5, 0)


def test_the_online_bin_is_filled_after_the_fairs_need(
    desk: Client, tumbler: Ware, owner: User
) -> None:
    """The need comes with the address; what is chosen is carried and held."""
    box = ledger.the_place(Place.Kind.ONLINE)
    assert 'value="1"' in text(desk, f"{url('online')}?need={tumbler.pk}:1")
    twice(desk, url("put_online"), keyed(**{f"add-{tumbler.pk}": "2", "add-x": "9"}))
    assert (at(shelf(), tumbler), at(box, tumbler)) == ((0, 0), (2, 2))
    piece = {"ware": tumbler.pk, "grade": "first", "quantity": 1}
    twice(desk, url("sell_online"), keyed(**piece, price="37", sold_on="2026-12-02"))
    twice(desk, url("take_offline"), keyed(**piece, reason="The fair needs it"))
    assert (at(shelf(), tumbler), at(box, tumbler)) == ((1, 0), (0, 0))
    assert "Tumbler, celadon" in text(desk, url("shop_sales"))
    back = url("online")
    answer = desk.post(url("put_online"), keyed(back=back), follow=True)
    assert "No piece was chosen" in answer.content.decode()


def test_a_form_that_cannot_be_read_says_what_is_wrong(
    desk: Client, tumbler: Ware, owner: User
) -> None:
    """And changes nothing."""
    form = keyed(ware=tumbler.pk, grade="first", quantity=0, price="x", sold_on="")
    shown = desk.post(url("sell_online"), form, follow=True).content.decode()
    assert "At least one piece" in shown
    assert "Price of one" in shown
    assert not ShopSale.objects.exists()
