"""What is earned, by property: any contributions over two years, under any rules."""

import datetime
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.supporters.test_credits import (
    FRIEND,
    LEVELS,
    PATRON,
    TUMBLER,
    earned,
    month,
    paid,
    pieces,
)
from vendor.supporters.credits import Contribution, Kind, Outcome, RewardRule, Spent, account

LAST = 23
levels = st.sampled_from([FRIEND, PATRON])
numbers = st.integers(0, LAST)
months_paid = st.lists(st.builds(paid, numbers, levels), max_size=30)
lines = st.lists(
    st.builds(paid, numbers, levels, st.sampled_from(list(Kind))), max_size=30
)  # fmt: skip
reward_rules = st.lists(
    st.builds(
        RewardRule,
        st.just(TUMBLER),
        st.builds(month, numbers),
        st.integers(1, 9),
        st.booleans(),
        st.none() | st.integers(1, 6),
    ),
    min_size=1,
    max_size=4,
    unique_by=lambda rule: rule.from_month,
)
spends = st.lists(
    st.builds(Spent, st.just(TUMBLER), st.builds(month, numbers), st.integers(1, 9)), max_size=3
)


@given(months_paid, st.builds(paid, numbers, levels), reward_rules, spends)
def test_more_paid_months_never_earn_less(
    months: list[Contribution], more: Contribution, rules: list[RewardRule], out: list[Spent]
) -> None:
    """Whatever the rules do over time, and whatever was promised meanwhile."""
    fewer = earned(months, LAST, rules, spent=out)
    richer = earned([*months, more], LAST, rules, spent=out)
    assert richer.balance >= fewer.balance
    assert pieces(richer) >= pieces(fewer)


@given(lines, st.randoms(use_true_random=False), reward_rules)
def test_the_order_of_rows_changes_nothing(
    rows: list[Contribution], shuffled: Any, rules: list[RewardRule]
) -> None:
    """An account is of a set of facts."""
    other = list(rows)
    shuffled.shuffle(other)
    assert earned(rows, LAST, rules, aim=TUMBLER) == earned(other, LAST, rules, aim=TUMBLER)


@given(lines, reward_rules)
def test_credits_are_conserved(rows: list[Contribution], rules: list[RewardRule]) -> None:
    """What the lines gained is what was earned, and no level change moves a credit."""
    found = earned(rows, LAST, rules)
    assert sum(line.gained for line in found.lines) == found.earned
    by_level = {FRIEND: 1, PATRON: 5}
    told = [line for line in found.lines if line.outcome is Outcome.PAID]
    assert found.earned == sum(by_level[line.level] for line in told if line.level)
    assert [line.balance for line in found.lines[-1:]] in ([], [found.balance])


@given(months_paid, reward_rules, st.builds(month, numbers), st.integers(1, 20))
def test_a_new_rule_never_takes_away_what_was_ready(
    months: list[Contribution], rules: list[RewardRule], since: datetime.date, cost: int
) -> None:
    """Whatever a reward costs from a later month on."""
    last = max([rule.from_month for rule in rules])
    if since <= last:
        return
    before = account(
        contributions=months, level_rules=LEVELS, reward_rules=rules,
        as_of=since - datetime.timedelta(days=1),
    )  # fmt: skip
    dearer = [*rules, RewardRule(TUMBLER, since, cost, unbroken=True, limit=1)]
    after = account(contributions=months, level_rules=LEVELS, reward_rules=dearer, as_of=since)
    assert pieces(after) >= pieces(before)
