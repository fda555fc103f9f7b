"""What is kept of a change: who, when, from what to what, and of people only which fields."""

import pytest
from django.db import IntegrityError, connection, transaction

from tests.factories import NOW, FormFactory, OwnerFactory, StudioFactory, UserFactory
from vendor.house import changes
from vendor.house.changes import SentBefore
from vendor.house.models import Change, User
from vendor.ledger import triggers
from vendor.studio import actions as studio
from vendor.ware import actions, price_actions
from vendor.ware.models import Finish, Form, PriceTier
from vendor.ware.price_actions import NewPrice

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    """The owner of a studio in dollars."""
    StudioFactory()
    owner: User = OwnerFactory()
    return owner


def test_a_change_says_what_became_what(owner: User) -> None:
    """By the names that the page has for its fields; what stayed is left out."""
    form = FormFactory(name="Tumbler", code="TUM", height_mm=90)
    form.name, form.height_mm, form.retired = "Beaker", 95, True
    actions.save_form(form=form, who=owner, now=NOW)
    kept = Change.objects.get()
    assert (kept.who, kept.at, kept.what, kept.kind) == (owner, NOW, "changed", "form")
    assert (kept.thing, kept.number, kept.name) == ("ware.form", form.pk, "Beaker")
    told = "name: Tumbler → Beaker; height (mm): 90 → 95; retired: no → yes"
    assert changes.in_words(kept) == told
    assert changes.last_change(form) == kept


def test_the_same_again_is_no_change(owner: User) -> None:
    """A page that is saved as it was leaves no note."""
    form = actions.save_form(form=Form(name="Tumbler", height_mm=9, width_mm=9), who=owner, now=NOW)
    actions.save_form(form=form, who=owner, now=NOW)
    assert [each.what for each in Change.objects.all()] == ["added"]


def test_shares_prices_and_choices_are_kept_in_words(owner: User) -> None:
    """As the studio writes them on that day; a later change of settings doesn't touch them."""
    tier = price_actions.save_tier(
        tier=PriceTier(name="Trade", share_ppm=500_000), who=owner, now=NOW
    )
    assert changes.in_words(Change.objects.get()) == "name: Trade; share of the base price: 50%"
    form = FormFactory(name="Tumbler")
    for amount in (3400, 3600):
        price_actions.set_prices(
            tier=tier,
            prices=[NewPrice(amount, form_id=form.pk)],
            from_date=NOW.date(),
            today=NOW.date(),
            who=owner,
            now=NOW,
        )
    last = changes.last_change(tier)
    assert last is not None
    assert changes.in_words(last) == "Tumbler from 2026-12-02: $34.00 → $36.00"
    finish = Finish(name="ash", food_contact=Finish.FoodContact.NOT_FOR_FOOD)
    actions.save_finish(finish=finish, who=owner, now=NOW)
    last = changes.last_change(finish)
    assert last is not None
    assert "food contact: Not for food" in changes.in_words(last)


def test_of_people_only_the_fields_names_are_kept(owner: User) -> None:
    """Never a name, and never a password or its hash."""
    robin = studio.add_person(
        username="robin", first_name="Robin", role="helper", password="a wet shelf of pots",
        who=owner, now=NOW,
    )  # fmt: skip
    studio.set_password(person=robin, password="a dry shelf of pots", who=owner, now=NOW)
    studio.shut_out(person=robin, who=owner, now=NOW)
    kept = list(Change.objects.filter(thing="house.user").order_by("pk"))
    assert [changes.in_words(each) for each in kept] == ["", "password", "active"]
    everything = str(list(Change.objects.values())).casefold()
    assert "robin" not in everything
    assert "shelf" not in everything
    assert robin.password not in everything


def test_a_change_that_fails_leaves_no_note(owner: User) -> None:
    """Both are one transaction, and outside of one nothing is written."""
    with transaction.atomic():
        actions.save_form(form=Form(name="Jar", height_mm=9, width_mm=9), who=owner, now=NOW)
        transaction.set_rollback(True)
    assert not Change.objects.exists()
    assert not Form.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_outside_of_a_transaction_nothing_is_kept() -> None:
    """The note would be lost, or be there without its change."""
    form = FormFactory()
    form.name = "Beaker"
    with pytest.raises(transaction.TransactionManagementError):
        changes.keep(form, who=OwnerFactory(), now=NOW)
    assert Form.objects.get().name != "Beaker"


@pytest.mark.parametrize("act", ["update", "delete"])
def test_the_database_refuses_to_change_a_note(owner: User, act: str) -> None:
    """On SQLite and on PostgreSQL alike, whoever asks."""
    actions.save_form(form=Form(name="Jar", height_mm=9, width_mm=9), who=owner, now=NOW)
    assert triggers.missing(connection) == []
    notes = Change.objects.all()
    with pytest.raises(IntegrityError, match="is never changed or deleted"), transaction.atomic():
        notes.update(name="Jug") if act == "update" else notes.delete()
    assert Change.objects.get().name == "Jar"


def test_a_form_sent_twice_adds_one(owner: User) -> None:
    """The same key answers with what it made; the key of another kind of thing is another's."""
    made = [
        actions.save_form(
            form=Form(name=" Jar ", height_mm=9, width_mm=9), key="k", who=owner, now=NOW
        )
        for _ in range(2)
    ]
    assert made[0] == made[1] == Form.objects.get()
    actions.save_finish(finish=Finish(name="ash"), key="k", who=owner, now=NOW)
    assert [each.kind for each in Change.objects.order_by("pk")] == ["form", "finish"]


def test_the_same_key_with_other_contents_is_refused(owner: User) -> None:
    """A page gone back to, changed and sent again would lose what was typed."""
    first = Form(name="Jar", height_mm=9, width_mm=9)
    actions.save_form(form=first, key="k", who=owner, now=NOW)
    for other in (Form(name="Jug", height_mm=9, width_mm=9), Form(name="Jar", height_mm=8)):
        with pytest.raises(SentBefore, match="sent before and made Jar. Nothing was added"):
            actions.save_form(form=other, key="k", who=owner, now=NOW)
    assert Form.objects.count() == 1


def test_a_key_does_not_reach_a_row_that_is_there(owner: User) -> None:
    """It only stands for what is added."""
    form = FormFactory(name="Tumbler", code="TUM")
    form.name = "Beaker"
    actions.save_form(form=form, key="k", who=owner, now=NOW)
    assert not changes.is_made(form, "k")
    helper = UserFactory()
    assert changes.made_before(helper, "k") is None
