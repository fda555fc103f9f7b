"""What a supporter chooses, what is to be made of it, and what goes out in one parcel."""

import datetime
from typing import Any

import pytest

from tests.factories import NOW, FinishFactory, FormFactory, WareFactory, shelf, stocked
from tests.supporters.makers import TODAY, at, kept, level, pays, promised, reward
from vendor.house.models import User
from vendor.supporters import actions, choosing, earning, making, queries, rules, sending
from vendor.supporters.errors import NotAChoice, NotNow, NotValid
from vendor.supporters.making import Wanted
from vendor.supporters.models import Commitment, Question, Reward, Supporter
from vendor.ware.models import Ware

pytestmark = pytest.mark.django_db
State = Commitment.State


@pytest.fixture
def asked(owner: User) -> tuple[Reward, dict[str, Question]]:
    """A tumbler of which finish, size, and lettering can be chosen."""
    made = reward(owner, "A tumbler", 2, form=FormFactory(name="Tumbler"))
    told: list[dict[str, Any]] = [
        {"kind": "finish", "name": "Glaze"},
        {"kind": "option", "name": "Size", "options": ["tall", "round", ""]},
        {"kind": "lettering", "name": "Name on it", "longest": 8, "required": False},
    ]
    return made, {
        each["kind"]: rules.save_question(
            question=Question(reward=made, position=nth, **each), who=owner, now=NOW
        )
        for nth, each in enumerate(told)
    }


@pytest.fixture
def promise(asked: Any, ines: Supporter, owner: User) -> Commitment:
    """An earned tumbler whose choices are not known."""
    pays(ines, level(owner, "Friend", 2), owner, 11)
    return earning.promise_reward(key="p", supporter=ines, reward=asked[0], who=owner, now=NOW)


def chosen(
    promise: Commitment, asked: Any, owner: User, key: str = "c", **answers: str
) -> Commitment:
    """Write choices down, by the kind of their question."""
    told = {asked[1][kind].pk: text for kind, text in answers.items()}
    return choosing.write_choices(key=key, commitment=promise, answers=told, who=owner, now=NOW)


def test_a_promise_waits_on_the_supporter_once_asked(promise: Commitment, owner: User) -> None:
    """Asked twice by the same form, it was asked once."""
    for _ in range(2):
        promise = choosing.ask_choices(key="a", commitment=promise, who=owner, now=NOW)
    assert (promise.stage, promise.waits_on_choices) == ("Choices asked", True)
    assert [row.commitment for row in queries.overview(TODAY).waiting] == [promise]
    assert promise.steps.filter(what="asked").count() == 1


def test_form_and_finish_together_name_the_ware(
    promise: Commitment, asked: Any, owner: User
) -> None:
    """Or wait for the ware to be written down."""
    celadon, ash = FinishFactory(name="celadon"), FinishFactory(name="ash")
    tumbler = WareFactory(form=asked[0].form, finish=celadon)
    done = chosen(promise, asked, owner, finish="Celadon", option="tall")
    assert (done.ware, done.stage, done.known_on) == (tumbler, "Choices known", TODAY)
    done = chosen(promise, asked, owner, key="d", finish="ash", option="tall")
    assert (done.ware, done.finish, done.piece_name) == (None, ash, "Tumbler, ash")


def test_choices_are_known_when_every_needed_one_is(
    promise: Commitment, asked: Any, owner: User
) -> None:
    """Lettering may stay empty; an answer can be taken back; sent twice it is one step."""
    FinishFactory(name="celadon")
    half = chosen(promise, asked, owner, finish="celadon")
    assert (half.known_on, half.steps.last().note) == (None, "Still open: Size")
    for _ in range(2):
        whole = chosen(promise, asked, owner, key="d", finish="celadon", option="round",
                       lettering="  Ines ")  # fmt: skip
        assert [answer.text for answer in whole.answers.all()] == ["celadon", "round", "Ines"]
    assert whole.steps.filter(what="chosen").count() == 2
    assert "Ines" not in " ".join(step.note for step in whole.steps.all())
    again = chosen(promise, asked, owner, key="e", finish="celadon", option="round")
    assert again.answers.count() == 2


def test_what_is_not_on_offer_or_too_long_is_refused(
    promise: Commitment, asked: Any, owner: User
) -> None:
    """With the room there is, counted in characters."""
    with pytest.raises(NotAChoice, match="not on offer.*tall, round"):
        chosen(promise, asked, owner, option="square")
    with pytest.raises(NotAChoice, match="12 characters, and there is room for 8"):
        chosen(promise, asked, owner, lettering="Ines und Bram"[:12])
    assert chosen(promise, asked, owner, lettering="Zo\u0065\u0308 1234").answers.count() == 1


def test_a_lettering_question_needs_a_length(asked: Any, owner: User) -> None:
    """What there is room for on the pot."""
    with pytest.raises(NotValid, match="how many characters"):
        rules.save_question(
            question=Question(reward=asked[0], kind="lettering", name="Motto"), who=owner, now=NOW
        )
    with pytest.raises(NotValid, match="asks for that already"):
        rules.save_question(
            question=Question(reward=asked[0], kind="finish", name="Inside"), who=owner, now=NOW
        )


def test_a_promise_in_the_making_says_where(promise: Commitment, owner: User) -> None:
    """A note or a firing; then a piece is held as before."""
    for _ in range(2):
        done = choosing.start_making(
            key="m", commitment=promise, note="On the drying shelf", who=owner, now=NOW
        )
    assert (done.state, done.making_note) == (State.MAKING, "On the drying shelf")
    assert done.steps.filter(what="making").count() == 1


def test_an_open_promise_can_be_changed(promise: Commitment, owner: User) -> None:
    """Another day, other words; the history says when it was due before."""
    later = TODAY + datetime.timedelta(days=99)
    for _ in range(2):
        done = choosing.change_promise(
            key="x", commitment=promise, due_on=later, choices="Two hares",
            seconds_allowed=True, who=owner, now=NOW,
        )  # fmt: skip
    assert (done.due_on, done.choices, done.seconds_allowed) == (later, "Two hares", True)
    assert f"Due {later}" in done.steps.last().note
    assert done.steps.filter(what="changed").count() == 1


def test_the_making_list_is_grouped_as_one_works() -> None:
    """Throw 3 tall, 2 round; glaze 2 in celadon."""
    sizes = ["tall", "round", "tall", "round", "tall"]
    wanted = [
        Wanted(number, "tumbler", "celadon" if number < 2 else "", (("Size", size),), clay_g=400)
        for number, size in enumerate(sizes)
    ]
    found = making.grouped([*wanted, Wanted(9, "bowl", "ash", due_on=TODAY)])
    assert found.sentence == (
        "throw 1 bowl; 5 tumbler (3 tall, 2 round); glaze 2 in celadon, 1 in ash"
    )
    assert (found.count, found.open_finish) == (6, 3)
    assert [(each.sentence, each.clay_g, each.first_due) for each in found.throw] == [
        ("bowl: 1", None, TODAY),
        ("tumbler: 5 (3 tall, 2 round)", 2000, None),
    ]
    assert making.grouped([]).sentence == ""


def test_packing_is_noted_and_undone(ines: Supporter, tumbler: Ware, owner: User) -> None:
    """Each once; a packed piece stays held."""
    promise = promised(ines, tumbler, owner)
    with pytest.raises(NotNow):
        sending.pack(key="k", commitment=promise, who=owner, now=NOW)
    promise = kept(promise, owner)
    for _ in range(2):
        promise = sending.pack(key="k", commitment=promise, who=owner, now=NOW)
    assert (promise.state, at(shelf(), tumbler)) == (State.PACKED, (2, 1))
    for _ in range(2):
        promise = sending.unpack(key="u", commitment=promise, who=owner, now=NOW)
    assert promise.state == State.HELD


def test_one_parcel_takes_several_pieces_of_one_supporter(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """All or none, once; the postage is the parcel's."""
    both = [kept(promised(ines, tumbler, owner), owner) for _ in range(2)]
    posted = sending.Posted("By boat", "B 12", 850)
    for _ in range(2):
        sent = sending.send_parcel(key="s", commitments=both, posted=posted, who=owner, now=NOW)
        assert [each.state for each in sent] == [State.SENT, State.SENT]
    assert len({each.parcel_id for each in sent}) == 1
    assert at(shelf(), tumbler) == (0, 0)


def test_a_parcel_with_a_piece_that_is_not_held_stays(
    ines: Supporter, tumbler: Ware, owner: User
) -> None:
    """Nothing is sent, not even the piece that is there."""
    stocked(tumbler, 5, who=owner, key="more")
    bram = actions.add_supporter(key="bram", name="Bram Osterly", who=owner, now=NOW)
    held, owed = kept(promised(ines, tumbler, owner), owner), promised(ines, tumbler, owner)
    other = kept(promised(bram, tumbler, owner), owner)
    for wrong in ([held, owed], [held, other], []):
        with pytest.raises(NotNow):
            sending.send_parcel(
                key="s", commitments=wrong, posted=sending.Posted(), who=owner, now=NOW
            )
    held.refresh_from_db()
    assert held.state == State.HELD
