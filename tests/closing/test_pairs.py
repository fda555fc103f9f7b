"""Which differences belong together."""

from hypothesis import given
from hypothesis import strategies as st

from vendor.closing.pairs import Odd, Priced, Swap, likely_swaps, paid_for
from vendor.house.tax import add_tax

TUMBLER, BOWL = 1, 2
ASH, SHINO, CELADON = 1, 2, 3


def test_one_form_in_two_finishes_was_probably_swapped() -> None:
    """One celadon tumbler missing, one ash tumbler too many."""
    odd = [Odd("celadon", TUMBLER, CELADON, -1), Odd("ash", TUMBLER, ASH, 1)]
    assert likely_swaps(odd) == [Swap("celadon", "ash", 1)]


def test_the_same_form_comes_before_the_same_finish() -> None:
    """The extra ash tumbler goes with the missing tumbler, not with the missing ash bowl."""
    odd = [
        Odd("ash bowl", BOWL, ASH, -1),
        Odd("shino tumbler", TUMBLER, SHINO, -1),
        Odd("ash tumbler", TUMBLER, ASH, 2),
    ]
    assert likely_swaps(odd) == [
        Swap("shino tumbler", "ash tumbler", 1),
        Swap("ash bowl", "ash tumbler", 1),
    ]


def test_what_has_nothing_in_common_is_not_paired() -> None:
    """A missing bowl does not explain an extra tumbler in another finish."""
    assert likely_swaps([Odd("b", BOWL, ASH, -1), Odd("t", TUMBLER, SHINO, 1)]) == []


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3), st.integers(-4, 4)), max_size=8))
def test_no_piece_is_used_twice(told: list[tuple[int, int, int]]) -> None:
    """Over all pairs, no ware gives or takes more than it differs by."""
    odd = [Odd(n, form, finish, net) for n, (form, finish, net) in enumerate(told)]
    swaps = likely_swaps(odd)
    for each in odd:
        taken = sum(swap.quantity for swap in swaps if swap.missing == each.spot)
        given_up = sum(swap.quantity for swap in swaps if swap.extra == each.spot)
        assert taken <= max(0, -each.net)
        assert given_up <= max(0, each.net)


def test_a_till_that_is_over_by_a_tumbler() -> None:
    """34.00 and 7.25 % are 36.47: a missing tumbler was sold and not rung up."""
    missing = [Priced("tumbler", 1, 36_47), Priced("bowl", 2, 49_34)]
    assert paid_for(36_47, missing) == [{"tumbler": 1}]
    assert paid_for(36_47 + 2 * 49_34, missing) == [{"tumbler": 1, "bowl": 2}]


def test_money_that_tells_nothing() -> None:
    """Short, right, by an odd amount, or by more pieces than are missing."""
    missing = [Priced("tumbler", 1, 36_47)]
    for over in (-36_47, 0, 36_48, 72_94):
        assert paid_for(over, missing) == []


def test_two_answers_are_both_told() -> None:
    """Two wares at one price: the money can't tell which."""
    assert paid_for(10, [Priced("a", 1, 10), Priced("b", 1, 10)]) == [{"a": 1}, {"b": 1}]


def test_a_sale_of_two_is_taxed_as_one_receipt() -> None:
    """68.00 and 7.25 % are 72.93 on one receipt, not twice 36.47."""
    missing = [Priced("tumbler", 2, 34_00)]
    charged = lambda amounts: add_tax(sum(amounts), 72_500).total  # noqa: E731
    assert paid_for(72_93, missing, charged=charged) == [{"tumbler": 2}]
    assert paid_for(72_94, missing, charged=charged) == []
