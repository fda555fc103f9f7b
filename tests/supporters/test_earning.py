"""Contributions, dated rules, and turning what was earned into promises."""

import datetime
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from tests.factories import NOW, FormFactory
from tests.supporters.makers import TODAY, keyed, level, patron_pays, pays, reward
from vendor.house.models import User
from vendor.house.reasons import ReasonNeeded
from vendor.ledger.errors import KeyReused
from vendor.supporters import accounts, actions, contributing, earning, rules
from vendor.supporters.errors import NotEarned, NotNow, TakesAway
from vendor.supporters.models import (
    Commitment,
    Contribution,
    ContributionChange,
    Level,
    LevelTerms,
    Question,
    Reward,
    RewardTerms,
    Supporter,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tumbler_reward(owner: User) -> Reward:
    """A tumbler for six credits since January."""
    return reward(owner, "A tumbler", 6, form=FormFactory(name="Tumbler"))


@pytest.fixture
def friend(owner: User, tumbler_reward: Reward) -> Level:
    """A level that earns two credits a month and usually leads to a tumbler."""
    return level(owner, "Friend of the kiln", 2, usual_reward=tumbler_reward)


def balance(supporter: Supporter) -> int:
    """Return a supporter's credits today."""
    return accounts.standings(TODAY, supporter)[0].account.balance


def test_three_paid_months_earn_a_promise(
    ines: Supporter, friend: Level, tumbler_reward: Reward, owner: User
) -> None:
    """Two credits each for a tumbler of six; the promise spends them."""
    pays(ines, friend, owner, 9, 10)
    with pytest.raises(NotEarned, match="4 credits"):
        earning.promise_reward(key="p", supporter=ines, reward=tumbler_reward, who=owner, now=NOW)
    pays(ines, friend, owner, 11)
    made = earning.promise_reward(
        key="p", supporter=ines, reward=tumbler_reward, who=owner, now=NOW
    )
    assert (made.credits, made.form, made.ware) == (6, tumbler_reward.form, None)
    assert made.due_on == TODAY + datetime.timedelta(weeks=12)
    assert balance(ines) == 0
    assert str(made.piece_name) == "Tumbler, not chosen yet"


def test_a_cancelled_reward_gives_its_credits_back(
    ines: Supporter, friend: Level, tumbler_reward: Reward, owner: User
) -> None:
    """And is owed again only while they are there."""
    pays(ines, friend, owner, 9, 10, 11)
    first = earning.promise_reward(
        key="p", supporter=ines, reward=tumbler_reward, who=owner, now=NOW
    )
    actions.cancel(key="c", commitment=first, who=owner, now=NOW, reason="Wants a bowl")
    assert balance(ines) == 6
    earning.promise_reward(key="q", supporter=ines, reward=tumbler_reward, who=owner, now=NOW)
    with pytest.raises(NotEarned, match="0 are left"):
        actions.reopen(key="r", commitment=first, who=owner, now=NOW, reason="Not a bowl")


def test_all_that_is_earned_is_promised_at_once(
    ines: Supporter, friend: Level, owner: User
) -> None:
    """Each supporter's own aim, as often as it is ready; sent again, nothing more."""
    bram = actions.add_supporter(key="bram", name="Bram Osterly", who=owner, now=NOW)
    pays(ines, friend, owner, 6, 7, 8, 9, 10, 11)
    pays(bram, friend, owner, 9, 10, 11)
    for _ in range(2):
        made = earning.promise_all_earned(key="all", who=owner, now=NOW)
        assert sorted(str(each.supporter) for each in made) == [
            "Bram Osterly",
            "Ines Quill",
            "Ines Quill",
        ]
    assert Commitment.objects.count() == 3
    assert balance(ines) == balance(bram) == 0


def test_a_reward_with_questions_waits_for_choices(
    ines: Supporter, friend: Level, tumbler_reward: Reward, owner: User
) -> None:
    """One without has nothing to be asked."""
    pays(ines, friend, owner, 9, 10, 11)
    rules.save_question(
        question=Question(reward=tumbler_reward, kind="finish", name="Glaze"), who=owner, now=NOW
    )
    made = earning.promise_reward(
        key="p", supporter=ines, reward=tumbler_reward, who=owner, now=NOW
    )
    assert made.known_on is None


@pytest.mark.parametrize("act", ["refund", "strike"])
def test_what_does_not_count_any_more_can_count_again(
    act: str, ines: Supporter, friend: Level, owner: User
) -> None:
    """A refund, a line struck out; each with a reason, each once, each undone."""
    one = pays(ines, friend, owner, 9, 10)[0]
    verb: Any = getattr(contributing, f"{act}_contribution")
    more: Any = {"on": TODAY} if act == "refund" else {}
    for _ in range(2):
        verb(key="x", contribution=one, reason="The bank took it back", who=owner, now=NOW, **more)
    assert balance(ines) == 2
    with pytest.raises(NotNow):
        verb(key="y", contribution=one, reason="again", who=owner, now=NOW, **more)
    with pytest.raises(ReasonNeeded):
        contributing.count_again(key="z", contribution=one, reason="", who=owner, now=NOW)
    for _ in range(2):
        contributing.count_again(key="z", contribution=one, reason="Wrong line", who=owner, now=NOW)
    assert balance(ines) == 4
    assert ContributionChange.objects.count() == 2
    with pytest.raises(KeyReused):
        verb(key="z", contribution=one, reason="so", who=owner, now=NOW, **more)


def test_a_contribution_sent_twice_is_written_once(
    ines: Supporter, friend: Level, owner: User
) -> None:
    """Its key says that it is the same."""
    for _ in range(2):
        patron_pays("one", ines, friend, owner)
    assert Contribution.objects.count() == 1


def test_a_rule_that_takes_away_what_was_earned_is_refused(
    ines: Supporter, friend: Level, tumbler_reward: Reward, owner: User
) -> None:
    """From a month that is paid already; from next month on it may."""
    pays(ines, friend, owner, 9, 10, 11)
    october, january = datetime.date(2026, 10, 1), datetime.date(2027, 1, 1)
    with pytest.raises(TakesAway, match="October 2026"):
        rules.set_level_terms(
            key="l", level=friend, from_month=october, amount=500, credits=1, who=owner, now=NOW
        )
    with pytest.raises(TakesAway):
        rules.set_reward_terms(
            key="r", reward=tumbler_reward, from_month=datetime.date(2026, 1, 1), cost=7,
            who=owner, now=NOW,
        )  # fmt: skip
    assert (LevelTerms.objects.count(), RewardTerms.objects.count()) == (1, 1)
    for _ in range(2):
        rules.set_level_terms(
            key="l", level=friend, from_month=january, amount=500, credits=1, who=owner, now=NOW
        )
        rules.set_reward_terms(
            key="r", reward=tumbler_reward, from_month=january, cost=9, who=owner, now=NOW
        )
    assert (LevelTerms.objects.count(), RewardTerms.objects.count()) == (2, 2)
    assert balance(ines) == 6


def test_a_dearer_reward_leaves_the_piece_that_was_ready(
    ines: Supporter, friend: Level, tumbler_reward: Reward, owner: User
) -> None:
    """It is promised at what it cost then."""
    pays(ines, friend, owner, 9, 10, 11)
    rules.set_reward_terms(
        key="r", reward=tumbler_reward, from_month=TODAY.replace(day=1), cost=20,
        who=owner, now=NOW,
    )  # fmt: skip
    made = earning.promise_reward(
        key="p", supporter=ines, reward=tumbler_reward, who=owner, now=NOW
    )
    assert made.credits == 6


def test_rules_are_never_rewritten(friend: Level) -> None:
    """The database itself refuses it."""
    with pytest.raises(IntegrityError), transaction.atomic():
        LevelTerms.objects.update(credits=0)
    with pytest.raises(IntegrityError), transaction.atomic():
        RewardTerms.objects.update(cost=99)


def test_standings_ask_a_fixed_number_of_times(
    ines: Supporter, friend: Level, owner: User, django_assert_num_queries: Any
) -> None:
    """However many supporters and months there are."""
    for name in ("Bram", "Wren", "Odile"):
        person = actions.add_supporter(key=name, name=name, who=owner, now=NOW)
        pays(person, friend, owner, 8, 9, 10, 11)
    with django_assert_num_queries(9):
        rows = accounts.standings(TODAY)
    assert [len(row.ready) for row in rows] == [1, 0, 1, 1]
    assert rows[0].level == friend


def test_an_aim_of_their_own_comes_before_their_levels(
    ines: Supporter, friend: Level, owner: User
) -> None:
    """She saves for a bowl."""
    bowl = reward(owner, "A bowl", 12)
    Supporter.objects.filter(pk=ines.pk).update(aim=bowl)
    pays(ines, friend, owner, 9, 10, 11)
    ines.refresh_from_db()
    standing = accounts.standings(TODAY, ines)[0]
    assert standing.aim == bowl
    assert [(line.have, line.of) for line in standing.account.lines[:3]] == [
        (2, 12), (4, 12), (6, 12),
    ]  # fmt: skip
    assert keyed()["key"] != keyed()["key"]
