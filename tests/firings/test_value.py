"""What a firing is worth, worked by hand."""

from hypothesis import given
from hypothesis import strategies as st

from vendor.firings import areas
from vendor.firings.value import Load, value_of

# 12 tumblers at 34.00 (seconds 17.00) and 6 salt pigs at 48.00 (seconds 24.00).
TUMBLERS = Load("Tumbler, celadon", 12, 84, 3400, 1700)
PIGS = Load("Salt pig, ash", 6, 114, 4800, 2400)


def test_a_loaded_kiln_is_worth_its_pieces_at_the_price_list() -> None:
    """12 × 34.00 + 6 × 48.00 = 696.00; nothing is known yet of what comes out."""
    value = value_of([TUMBLERS, PIGS])
    assert value.as_loaded == 69_600
    assert value.as_unloaded is None
    assert value.lost is None
    assert value.fell_by is None
    assert value.best_known == 69_600


def test_an_unloaded_kiln_is_worth_firsts_and_seconds() -> None:
    """10 × 34 + 1 × 17 + 4 × 48 + 0 = 549.00; lost 1 × 34 + 2 × 48 = 130.00; 147.00 less."""
    value = value_of(
        [
            Load("Tumbler, celadon", 12, 84, 3400, 1700, firsts=10, seconds=1, lost=1),
            Load("Salt pig, ash", 6, 114, 4800, 2400, firsts=4, seconds=0, lost=2),
        ]
    )
    assert (value.firsts, value.seconds) == (53_200, 1_700)
    assert value.as_unloaded == 54_900
    assert value.lost == 13_000
    assert value.fell_by == 14_700
    assert [line.as_unloaded for line in value.lines] == [35_700, 19_200]


def test_a_missing_price_is_named_and_never_counts_as_nothing() -> None:
    """The line without a price is left out of every total and called by its name."""
    value = value_of([TUMBLERS, Load("Oil cruet, shino", 9, 70, None, None)])
    assert value.missing == ("Oil cruet, shino",)
    assert value.as_loaded == 40_800
    assert value.lines[1].as_loaded is None


def test_seconds_without_a_price_are_named_as_seconds() -> None:
    """A list without prices for seconds only matters where there are seconds."""
    value = value_of([Load("Salt pig, ash", 6, 114, 4800, None, 5, 1, 0)])
    assert value.missing == ("Salt pig, ash (second)",)
    assert value.as_unloaded == 0
    assert value_of([Load("Salt pig, ash", 6, 114, 4800, None, 6, 0, 0)]).missing == ()


def test_spare_room_is_worth_what_this_firing_puts_on_such_room() -> None:
    """Each piece takes a square of its width and a 6 mm gap: 12 × 90² + 6 × 120² = 1,836 cm².

    On 4,000 cm² 2,164 stay free; 696.00 ÷ 1,836 × 2,164 = 820.34 (820.339…).
    """
    value = value_of([TUMBLERS, PIGS], area_cm2=4_000, hours=36)
    assert value.used_cm2 == 1_836
    assert value.spare_cm2 == 2_164
    assert value.spare_room == 82_034
    assert areas.value_of_unit(value.best_known, 4_000, inches=False) == (17_400, "1,000 cm²")
    assert value.per_hour == 1_933  # 696.00 ÷ 36 = 19.333…


def test_a_kiln_packed_tighter_than_squares_has_no_spare_room() -> None:
    """Room never goes below nothing."""
    value = value_of([TUMBLERS, PIGS], area_cm2=1_000)
    assert (value.spare_cm2, value.spare_room) == (0, 0)


def test_what_is_not_known_of_the_kiln_is_not_made_up() -> None:
    """Without an area or hours there is no value by either."""
    value = value_of([TUMBLERS])
    assert (value.spare_cm2, value.spare_room, value.per_hour) == (None,) * 3


def test_a_firing_where_everything_was_lost_is_worth_nothing() -> None:
    """As unloaded it is zero, and all of it lost."""
    value = value_of([Load("Tumbler, celadon", 12, 84, 3400, 1700, 0, 0, 12)], hours=30)
    assert value.as_unloaded == 0
    assert value.lost == value.as_loaded == 40_800
    assert value.per_hour == 0


@given(
    st.lists(
        st.tuples(
            st.integers(0, 400), st.integers(0, 400), st.integers(0, 400),
            st.integers(1, 10**7), st.integers(1, 10**7),
        ).filter(lambda line: sum(line[:3]) > 0),
        min_size=1,
    )
)  # fmt: skip
def test_loaded_is_firsts_and_losses_and_what_the_seconds_would_have_been(
    lines: list[tuple[int, int, int, int, int]],
) -> None:
    """Firsts + lost + the seconds at the full price make the value as loaded."""
    value = value_of(
        [
            Load(f"line {n}", firsts + seconds + lost, 90, price, cheaper, firsts, seconds, lost)
            for n, (firsts, seconds, lost, price, cheaper) in enumerate(lines)
        ]
    )
    assert value.firsts is not None
    assert value.lost is not None
    whole_seconds = sum(seconds * price for _, seconds, _, price, _ in lines)
    assert value.firsts + value.lost + whole_seconds == value.as_loaded


def test_a_shelf_is_valued_by_the_square_foot_where_one_measures_in_inches() -> None:
    """1 ft² is 929.0304 cm² exactly: 696.00 on 4,000 cm² is 161.65 a square foot."""
    assert areas.value_of_unit(69_600, 4_000, inches=True) == (16_165, "square foot")


@given(st.integers(1, 150_000), st.booleans())
def test_a_shelf_area_reads_back_as_it_was_typed(area: int, inches: bool) -> None:
    """Whole square inches are kept as whole cm² and come back the same."""
    assert areas.shown(areas.stored(area, inches=inches), inches=inches) == area
