"""The two equations against worked examples, published and our own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.closing.equation import CAME, WENT, Pots, Till, pots, shrinkage_ppm, total_of
from vendor.ledger.models import Place

few = st.integers(0, 400)


def test_every_column_worked_by_hand() -> None:
    """20 + 12 + 1 + 2 + 0 − 15 − 4 − 1 − 1 − 1 − 1 − 2 = 10; 9 counted is one missing."""
    stall = Pots(
        opening=20, packed_in=12, taken_back=1, found=2, sold=15, returned=4, broken=1, given=1,
        traded=1, own_use=1, handed_over=2,
    )  # fmt: skip
    assert stall.expected == 10
    assert stall.variance(9) == -1


def test_the_inventory_equation_of_a_textbook() -> None:
    """OpenStax, Principles of Accounting, volume 1, ch. 10: 150 + 225 + 210 − 120 − 180 = 285."""
    month = Pots(opening=150, packed_in=225 + 210, sold=120 + 180)
    assert month.expected == 285
    assert month.variance(285) == 0


@pytest.mark.parametrize(
    ("expected", "counted", "per_cent"), [(5_000, 4_850, 3), (1_000, 950, 5), (500, 375, 25)]
)
def test_shrinkage_of_published_examples(expected: int, counted: int, per_cent: int) -> None:
    """eHow: 6,000 − 2,000 + 1,000 = 5,000 on the books, 4,850 counted, 3 %; and two more."""
    assert shrinkage_ppm(expected, counted) == per_cent * 10_000


def test_shrinkage_of_a_book_worked_out() -> None:
    """eHow: 6,000 at first, 2,000 sold, 1,000 bought, 4,850 counted: 150 missing."""
    book = Pots(opening=6_000, sold=2_000, packed_in=1_000)
    assert (book.expected, book.variance(4_850)) == (5_000, -150)


def test_nothing_expected_has_no_shrinkage() -> None:
    """No division by nought; more than expected is a shrinkage below nought."""
    assert shrinkage_ppm(0, 3) == 0
    assert shrinkage_ppm(100, 101) == -10_000


def test_the_float_is_not_a_sale() -> None:
    """Transtutors: fund 100, tape 1,295.89, count 1,402.89: 7.00 over, not the printed 107.00."""
    till = Till(cash_float=100_00, sales=1_295_89)
    assert till.over_short(1_402_89) == 7_00


def test_over_by_fourteen() -> None:
    """MDCT: 1,614 counted, 200 opening fund, 1,400 on the tape: 14 over."""
    assert Till(cash_float=200_00, sales=1_400_00).over_short(1_614_00) == 14_00


def test_a_till_that_is_right() -> None:
    """DWM Bean Counter: 100 + 1,818 + 182 = 1,550 + 550, and 2,000 go to the bank."""
    till = Till(cash_float=100_00, sales=1_818_00 + 182_00)
    assert till.expected == 2_100_00
    assert till.over_short(1_550_00 + 550_00) == 0
    assert till.above_float(2_100_00) == 2_000_00


def test_a_till_with_less_than_its_float_has_nothing_to_take_out() -> None:
    """40 left of a float of 100: nothing is taken out, and nothing below nothing."""
    assert Till(cash_float=100_00, paid_out=60_00).above_float(40_00) == 0


@pytest.mark.parametrize(
    ("fund", "receipts", "cash", "over_short"),
    [
        (75, [30, 10, 5], 25, -5),
        (800, [37, 124, 270, 168, 149], 48, -4),
        (800, [18, 175, 50, 269, 59], 220, -9),
        (800, [251, 88, 63, 182, 203], 20, 7),
        (1_000, [571], 437, 8),
    ],
)
def test_petty_cash_of_a_textbook(
    fund: int, receipts: list[int], cash: int, over_short: int
) -> None:
    """OpenStax, Principles of Accounting, volume 1, ch. 8: fund less receipts, against the cash."""
    till = Till(cash_float=fund * 100, paid_out=sum(receipts) * 100)
    assert till.over_short(cash * 100) == over_short * 100


def test_petty_cash_that_is_short_by_cents() -> None:
    """Weygandt/Kimmel, P7-16: 74.40 + 36.00 + 33.70 + 27.50 of 175.00: short 3.40."""
    spent = 74_40 + 36_00 + 33_70 + 27_50
    assert Till(cash_float=200_00, paid_out=spent).over_short(200_00 - 175_00) == -3_40


def test_every_column_of_the_till_by_hand() -> None:
    """150 + 842.50 + 6 − 36.47 + 40 − 112.03 = 890.00."""
    till = Till(
        cash_float=150_00, sales=842_50, tips=6_00, refunds=36_47, paid_in=40_00, paid_out=112_03
    )
    assert till.expected == 890_00


def test_notes_and_coins() -> None:
    """3 × 20 + 4 × 5 + 7 × 0.25 = 81.75."""
    assert total_of({20_00: 3, 5_00: 4, 25: 7, 10: 0}) == 81_75


def test_every_kind_of_place_has_its_column() -> None:
    """Nothing that moves to or from a stall can be left out of the equation."""
    assert set(Place.Kind.values) == CAME.keys() | WENT.keys()
    with pytest.raises(KeyError):
        pots(0, {"moon": 1}, {})


@given(
    few,
    st.dictionaries(st.sampled_from(sorted(Place.Kind.values)), few),
    st.dictionaries(st.sampled_from(sorted(Place.Kind.values)), few),
)
def test_the_equation_expects_what_the_ledger_records(
    opening: int, came: dict[str, int], went: dict[str, int]
) -> None:
    """Whatever came and went, the columns add up to the same as the movements."""
    sorted_out = pots(opening, came, went)
    assert sorted_out.expected == opening + sum(came.values()) - sum(went.values())


@given(st.lists(st.builds(Pots, *[few] * 12), max_size=5))
def test_the_total_of_all_ware_is_the_sum_of_its_lines(lines: list[Pots]) -> None:
    """The statement's foot expects what its lines expect together."""
    assert sum(lines, Pots()).expected == sum(line.expected for line in lines)


def cost_of_two_years(first_ending: int) -> tuple[int, int]:
    """The goods that went in two years, where a count ends the first and opens the second."""
    return (
        Pots(opening=3_150, packed_in=13_005).expected - first_ending,
        Pots(opening=first_ending, packed_in=8_816).expected - 9_851,
    )


def test_a_wrong_ending_turns_round_in_the_next_period() -> None:
    """OpenStax, ibid.: 7,200 and 7,920; ended 1,500 too low 8,700 and 6,420, together the same."""
    assert cost_of_two_years(8_955) == (7_200, 7_920)
    assert cost_of_two_years(8_955 - 1_500) == (8_700, 6_420)
    # Sales 11,340 and 12,474, other expenses 3,000 each: 2,694 in both years together.
    assert 11_340 + 12_474 - 2 * 3_000 - sum(cost_of_two_years(7_455)) == 2_694


columns = st.fixed_dictionaries(
    dict.fromkeys(("packed_in", "taken_back", "found", "sold", "returned", "broken"), few)
)


@given(few, columns, columns, few, few, st.integers(-50, 50))
def test_a_miscount_of_one_weekend_is_undone_by_the_next(
    opening: int,
    first: dict[str, int],
    second: dict[str, int],
    counted: int,
    last: int,
    error: int,
) -> None:
    """An error in the first count shows in both variances, with opposite signs: no sum changes."""

    def variances(ending: int) -> tuple[int, int]:
        one, two = Pots(opening=opening, **first), Pots(opening=ending, **second)
        return one.variance(ending), two.variance(last)

    right, wrong = variances(counted), variances(counted + error)
    assert (wrong[0] - right[0], wrong[1] - right[1]) == (error, -error)
    assert sum(wrong) == sum(right)
