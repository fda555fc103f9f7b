"""A commission: a promise at an agreed price, paid in part in advance, to a named customer."""

from typing import Any

import pytest

from tests.factories import NOW, FormFactory, stall, stocked
from tests.supporters.makers import kept, promised
from vendor.house.models import User, new_key
from vendor.ledger import actions as ledger
from vendor.supporters import actions, people
from vendor.supporters.errors import NotNow, NotValid
from vendor.supporters.models import Commitment, Step, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db


def customer(owner: User, name: str, contact: str = "") -> Supporter:
    return actions.the_customer(key=new_key(), name=name, contact=contact, who=owner, now=NOW)


def commission(owner: User, **more: Any) -> Commitment:
    more.setdefault("form", FormFactory(name="Platter"))
    return actions.promise(
        key="commission", supporter=customer(owner, "Robin Lark"), price=9000, who=owner, now=NOW,
        **more,
    )  # fmt: skip


def paid(promise: Commitment, owner: User, amount: int, key: str = "paid") -> Commitment:
    return actions.pay_on(key=key, commitment=promise, amount=amount, who=owner, now=NOW)


@pytest.mark.parametrize(
    ("name", "contact"),
    [("robin  lark", "robin@example.test"), ("Robin Lark", "ROBIN@example.test")],
)
def test_a_customer_is_found_again_by_name_and_contact(
    owner: User, name: str, contact: str
) -> None:
    """Letters' case and spaces aside; a person is written down once."""
    one = customer(owner, "Robin Lark", "robin@example.test")
    assert (one.email, one.phone) == ("robin@example.test", "")
    assert customer(owner, name, contact) == one


def test_a_phone_number_is_known_again_by_its_digits(owner: User) -> None:
    """People write it with and without spaces."""
    one = customer(owner, "Robin Lark", "020 7946-0018")
    assert (one.email, one.phone) == ("", "020 7946-0018")
    assert customer(owner, "Robin Lark", "02079460018") == one
    assert customer(owner, "Robin Lark", "0207946001") != one


def test_a_name_alone_is_the_same_person_only_without_any_contact(owner: User) -> None:
    """Two people of one name must not get each other's pieces."""
    known = customer(owner, "Robin Lark", "robin@example.test")
    nameless = customer(owner, "Robin Lark")
    assert nameless != known
    assert customer(owner, "Robin Lark") == nameless


def test_somebody_elses_address_is_kept_as_a_way_to_reach_them(owner: User) -> None:
    """An address stands for one person in the books; the other keeps it in words."""
    customer(owner, "Robin Lark", "lark@example.test")
    other = customer(owner, "Wren Lark", "lark@example.test")
    assert (other.email, other.phone) == ("", "lark@example.test")
    assert customer(owner, "Wren Lark", "lark@example.test") == other


def test_an_erased_customer_is_not_found_again(owner: User) -> None:
    """What was erased is gone, the phone with it; who comes back is new."""
    one = customer(owner, "Robin Lark", "020 7946 0018")
    people.erase_supporter(supporter=one, who=owner, now=NOW)
    one.refresh_from_db()
    assert one.phone == ""
    assert customer(owner, "Robin Lark", "020 7946 0018") != one


def test_a_commission_knows_its_form_before_there_is_ware(owner: User) -> None:
    """The rest is in the words of its choices."""
    made = commission(owner, choices="a hare on the rim", note="collects in March")
    assert (made.piece_name, made.note) == ("Platter, not chosen yet", "collects in March")
    assert (made.is_commission, made.to_pay) == (True, 9000)


def test_what_is_paid_in_advance_is_taken_off_once(owner: User) -> None:
    """The same payment sent again changes nothing."""
    made = commission(owner)
    paid(made, owner, 2000)
    again = paid(made, owner, 2000)
    assert (again.paid, again.to_pay) == (2000, 7000)
    assert [step.what for step in made.steps.all()] == ["promised", "paid"]


def test_more_than_the_price_is_not_taken_in_advance(owner: User) -> None:
    """Refused with a sentence, and nothing is written."""
    made = commission(owner)
    with pytest.raises(NotValid, match="than the price agreed"):
        paid(made, owner, 9001)
    assert Commitment.objects.get().paid == 0


def test_nothing_is_paid_on_a_promise_without_a_price(
    owner: User, tumbler: Ware, ines: Supporter
) -> None:
    """A reward is paid for by credits."""
    with pytest.raises(NotNow, match="No price was agreed"):
        paid(promised(ines, tumbler, owner), owner, 100)


def test_a_commission_goes_out_by_its_sale_alone(owner: User, tumbler: Ware) -> None:
    """Neither sent nor handed over without what is left to pay."""
    made = kept(commission(owner, ware=tumbler, form=None), owner)
    with pytest.raises(NotNow, match="is a commission"):
        actions.hand_over(key="out", commitment=made, who=owner, now=NOW)
    with pytest.raises(NotNow, match="is a commission"):
        actions.send_reward(key="sent", commitment=made, who=owner, now=NOW)
    assert Commitment.objects.get().state == "held"


def test_a_sale_ends_it_and_its_undoing_holds_the_piece_again(owner: User, tumbler: Ware) -> None:
    """As often as that comes about."""
    place = stall()
    stocked(tumbler, 1, at=place, who=owner)
    made = kept(commission(owner, ware=tumbler, form=None), owner, place=place)
    for nth in range(2):
        made = Commitment.objects.named().get()
        assert made.hold is not None
        entry = ledger.sell(
            key=f"sale-{nth}", lines=[ledger.Line(tumbler.pk, 1, "first")], source=place, who=owner,
            now=NOW, overrides=[made.hold],
        )  # fmt: skip
        done = actions.sold(key=f"sold-{nth}", commitment=made, entry=entry, who=owner, now=NOW)
        assert (done.state, done.entry) == ("handed_over", entry)
        ledger.reverse(key=f"undo-{nth}", entry=entry, who=owner, now=NOW, reason="wrong")
        back = actions.hold_restored(hold=made.hold, who=owner, now=NOW)
        assert back is not None
        assert (back.state, back.entry, back.ended_at) == ("held", None, None)


def test_a_deposit_is_settled_before_a_commission_is_cancelled(owner: User) -> None:
    """Nobody's money is forgotten."""
    made = commission(owner)
    paid(made, owner, 2000)
    with pytest.raises(NotNow, match="A deposit was paid"):
        actions.cancel(key="off", commitment=made, who=owner, now=NOW, reason="too big")
    actions.pay_off(key="back", commitment=made, what=Step.What.PAID_BACK, who=owner, now=NOW)
    done = actions.cancel(key="off", commitment=made, who=owner, now=NOW, reason="too big")
    assert (done.state, done.paid) == ("cancelled", 0)
