"""What is earned, by hand and by property: plain values, no tables."""

import datetime
from dataclasses import replace
from typing import Any

from vendor.supporters.credits import (
    Account,
    Contribution,
    Kind,
    LevelRule,
    Outcome,
    RewardRule,
    Spent,
    account,
    months_after,
)

JAN = datetime.date(2026, 1, 1)
FRIEND, PATRON = 1, 2
TUMBLER, BOWL = 10, 11
LEVELS = [LevelRule(FRIEND, JAN, 1), LevelRule(PATRON, JAN, 5)]
FIFTEEN = RewardRule(TUMBLER, JAN, 15)


def month(number: int) -> datetime.date:
    """Return the month so many after January 2026."""
    return months_after(JAN, number)


def paid(number: int, level: int = FRIEND, kind: Kind = Kind.PAID) -> Contribution:
    """Return a payment on the fifth of a month."""
    return Contribution(month(number), level, kind, month(number).replace(day=5))


def earned(
    contributions: list[Contribution], through: int, rewards: Any = (FIFTEEN,), **more: Any
) -> Account:
    """Return the account on the last-but-few day of a month."""
    as_of = month(through).replace(day=28)
    levels = more.pop("levels", LEVELS)
    return account(
        contributions=contributions, level_rules=levels, reward_rules=rewards, as_of=as_of, **more
    )


def pieces(found: Account, reward: int = TUMBLER) -> int:
    """Return how many pieces of a reward are ready."""
    return len(found.ready[reward].costs) if reward in found.ready else 0


def test_the_same_piece_takes_one_level_three_months_and_another_fifteen() -> None:
    """Five credits a month or one, for a piece that costs fifteen."""
    patron = [paid(n, PATRON) for n in range(3)]
    friend = [paid(n, FRIEND) for n in range(15)]
    assert [pieces(earned(patron, n)) for n in range(3)] == [0, 0, 1]
    assert [pieces(earned(friend, n)) for n in range(15)] == [0] * 14 + [1]


def test_changing_level_keeps_what_was_earned() -> None:
    """Ten months at one credit and one at five make fifteen."""
    both = [*(paid(n) for n in range(10)), paid(10, PATRON)]
    found = earned(both, 10)
    assert (found.balance, pieces(found), found.level) == (15, 1, PATRON)


def test_each_month_is_explained_toward_the_aim() -> None:
    """March at the patrons' level: +2, 5 of 6."""
    rules = [LevelRule(FRIEND, JAN, 1), LevelRule(PATRON, JAN, 2)]
    months = [paid(0), paid(1, PATRON), paid(2, PATRON), paid(3)]
    six = RewardRule(TUMBLER, JAN, 6)
    lines = earned(months, 3, [six], levels=rules, aim=TUMBLER).lines
    assert [(line.gained, line.have, line.of, line.ready) for line in lines] == [
        (1, 1, 6, 0),
        (2, 3, 6, 0),
        (2, 5, 6, 0),
        (1, 0, 6, 1),
    ]


def test_a_missed_month_breaks_only_the_run_of_a_reward_that_asks_for_one() -> None:
    """Two and two are four, but no four in a row."""
    run = RewardRule(BOWL, JAN, 4, unbroken=True)
    loose = RewardRule(TUMBLER, JAN, 4)
    found = earned([paid(0), paid(1), paid(3), paid(4)], 4, [run, loose])
    assert (pieces(found, BOWL), pieces(found)) == (0, 1)
    assert found.lines[2].outcome is Outcome.MISSED
    assert found.lines[2].broke


def test_what_an_unbroken_run_has_earned_outlives_the_run() -> None:
    """Earned is earned; the next run has two of three."""
    run = RewardRule(BOWL, JAN, 3, unbroken=True)
    found = earned([paid(n) for n in (0, 1, 2, 5, 6)], 6, [run])
    assert pieces(found, BOWL) == 1
    assert found.ready[BOWL].beyond == 2


def test_the_month_that_is_not_over_breaks_no_run() -> None:
    """It can still be paid."""
    run = RewardRule(BOWL, JAN, 3, unbroken=True)
    assert earned([paid(0), paid(1)], 2, [run]).lines[2].outcome is Outcome.TO_COME
    assert pieces(earned([paid(0), paid(1), paid(2)], 2, [run]), BOWL) == 1


def test_a_refund_takes_its_month_back_from_its_day_on() -> None:
    """Whether it is told on the payment or on a line of its own."""
    told = replace(paid(1), refunded_on=month(2).replace(day=10))
    apart = replace(paid(1, kind=Kind.REFUND), on=month(2).replace(day=10))
    for months in ([paid(0), told], [paid(0), paid(1), apart]):
        assert earned(months, 1).balance == 2
        assert earned(months, 2).balance == 1
        assert earned(months, 2).lines[1].outcome is Outcome.REFUNDED


def test_a_failed_month_earns_nothing_until_it_is_paid() -> None:
    """The second try counts."""
    failed = paid(0, kind=Kind.FAILED)
    assert earned([failed], 0).lines[0].outcome is Outcome.FAILED
    assert earned([failed, paid(0)], 0).balance == 1


def test_a_dearer_rule_leaves_what_was_ready() -> None:
    """Six credits had earned two at three; the third costs five."""
    rules = [RewardRule(TUMBLER, JAN, 3), RewardRule(TUMBLER, month(6), 5)]
    months = [paid(n) for n in range(12)]
    assert earned(months, 6, rules).ready[TUMBLER].costs == [3, 3]
    assert earned(months, 10, rules).ready[TUMBLER].costs == [3, 3, 5]


def test_a_cheaper_rule_holds_for_what_is_not_promised_yet() -> None:
    """In the supporter's favour."""
    rules = [RewardRule(TUMBLER, JAN, 5), RewardRule(TUMBLER, month(5), 3)]
    assert earned([paid(n) for n in range(6)], 5, rules).ready[TUMBLER].costs == [3, 3]


def test_a_lower_level_rule_counts_for_coming_months_only() -> None:
    """Past months keep what they earned."""
    rules = [LevelRule(FRIEND, JAN, 3), LevelRule(FRIEND, month(2), 1)]
    assert earned([paid(n) for n in range(4)], 3, levels=rules).balance == 8


def test_a_limit_ends_a_reward_and_promised_pieces_count_toward_it() -> None:
    """Once means once."""
    once = RewardRule(TUMBLER, JAN, 2, limit=1)
    months = [paid(n) for n in range(6)]
    assert pieces(earned(months, 5, [once])) == 1
    found = earned(months, 5, [once], spent=[Spent(TUMBLER, month(2), 2)])
    assert (pieces(found), found.balance, found.ready[TUMBLER].cost) == (0, 4, 0)


def test_credits_are_spent_once_among_several_rewards() -> None:
    """Either is ready; after one is promised, neither."""
    rules = [RewardRule(TUMBLER, JAN, 4), RewardRule(BOWL, JAN, 3)]
    months = [paid(n) for n in range(4)]
    found = earned(months, 3, rules)
    assert (pieces(found), pieces(found, BOWL)) == (1, 1)
    found = earned(months, 3, rules, spent=[Spent(BOWL, month(3), 3)])
    assert (pieces(found), pieces(found, BOWL), found.balance) == (0, 0, 1)


def test_a_refund_after_its_credits_were_spent_leaves_a_debt() -> None:
    """Nothing is ready until it is made up for."""
    gone = replace(paid(1), refunded_on=month(1).replace(day=20))
    found = earned(
        [paid(0), gone], 1, [RewardRule(TUMBLER, JAN, 2)], spent=[Spent(TUMBLER, month(1), 2)]
    )
    assert (found.balance, pieces(found)) == (-1, 0)


def test_nothing_is_earned_from_nothing() -> None:
    """No contribution, no line."""
    found = earned([], 5)
    assert (found.lines, found.balance, found.ready) == ([], 0, {})
