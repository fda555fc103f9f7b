"""Cones are read, ordered and compared as heat-work."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.firings import cones
from vendor.firings.cones import Cone, NotACone

# End points in °F of self-supporting cones at 108 °F an hour, from the coolest to the hottest:
# Orton chart in °F, cones 022 to 14.
FAHRENHEIT = {
    "022": 1087, "021": 1112, "020": 1159, "019": 1252, "018": 1319, "017": 1360, "016": 1422,
    "015": 1456, "014": 1485, "013": 1539, "012": 1582, "011": 1607, "010": 1657, "09": 1688,
    "08": 1728, "07": 1789, "06": 1828, "05½": 1859, "05": 1888, "04": 1945, "03": 1987,
    "02": 2016, "01": 2046, "1": 2079, "2": 2088, "3": 2106, "4": 2124, "5": 2167, "5½": 2197,
    "6": 2232, "7": 2262, "8": 2280, "9": 2300, "10": 2345, "11": 2361, "12": 2383, "13": 2428,
    "14": 2489,
}  # fmt: skip
ORDER = list(FAHRENHEIT)


def test_cones_run_from_022_to_14_in_the_order_of_heat_work() -> None:
    """022 < … < 01 < 1 < … < 14, with 05½ and 5½ in their places (Orton chart)."""
    read = [Cone.of(name) for name in ORDER]
    assert read == sorted(read)
    assert len(set(read)) == len(ORDER)
    assert [str(cone) for cone in read] == ORDER


def test_end_points_rise_with_every_cone() -> None:
    """Self-supporting cones at 60 °C an hour never fall from one cone to the next (Orton)."""
    degrees = [Cone.of(name).guide_celsius for name in ORDER]
    assert all(a is not None and b is not None and a < b for a, b in itertools.pairwise(degrees))


def test_end_points_agree_with_the_chart_in_fahrenheit() -> None:
    """Both Orton charts name the same end points, to a degree Fahrenheit of rounding."""
    for name, fahrenheit in FAHRENHEIT.items():
        guide = Cone.of(name).guide_fahrenheit
        assert guide is not None
        assert abs(guide - fahrenheit) <= 1, name


def test_one_cone_is_no_fixed_number_of_degrees() -> None:
    """1 to 2 is 5 °C and 020 to 019 is 52 °C (worked out from the Orton chart)."""

    def apart(low: str, high: str) -> int:
        return (Cone.of(high).guide_celsius or 0) - (Cone.of(low).guide_celsius or 0)

    assert apart("1", "2") == 5
    assert apart("020", "019") == 52
    assert apart("06", "05") == 33
    assert apart("5", "6") == 36


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("6", "6"), ("06", "06"), ("5½", "5½"), ("5.5", "5½"), ("5,5", "5½"), ("5 1/2", "5½"),
        (" cone 04 ", "04"), ("Cone 10", "10"), ("^6", "6"), ("∆6", "6"), ("05.5", "05½"),
        ("022", "022"), ("14", "14"), ("6½", "6½"),
    ],
)  # fmt: skip
def test_a_cone_is_read_as_potters_write_it(text: str, name: str) -> None:
    """Halves may be written with a point, and the word or sign before may be left out."""
    assert str(Cone.of(text)) == name


@pytest.mark.parametrize(
    "text",
    ["", "0", "00", "006", "015½x", "023", "022½", "15", "14½", "-6", "6.25", "six", "٦", "６",
     "6 6", "60", "1e1", "0½", "½", "cone", "9" * 400],
)  # fmt: skip
def test_what_is_no_cone_is_not_taken_for_one(text: str) -> None:
    """Empty, out of range, foreign digits and typing slips are refused."""
    with pytest.raises(NotACone):
        Cone.of(text)


@given(st.sampled_from(cones.ALL))
def test_every_cone_reads_back_from_its_own_name(cone: Cone) -> None:
    """Writing a cone and reading it again gives the same cone."""
    assert Cone.of(str(cone)) == cone


@given(st.sampled_from(cones.ALL), st.sampled_from(cones.ALL))
def test_hotter_is_the_mirror_of_cooler(one: Cone, other: Cone) -> None:
    """A difference turns its sign when the two change places, and is nothing only for equals."""
    apart = cones.half_cones_over(one, other)
    assert apart == -cones.half_cones_over(other, one)
    assert (apart > 0) is (one > other)


@pytest.mark.parametrize(
    ("reached", "aimed", "words"),
    [
        ("6", "6", "as aimed"),
        ("7", "6", "one cone hotter"),
        ("1", "01", "one cone hotter"),
        ("5½", "6", "half a cone cooler"),
        ("05½", "06", "half a cone hotter"),
        ("04", "06", "2 cones hotter"),
        ("4½", "6", "1½ cones cooler"),
    ],
)
def test_a_difference_is_said_in_cones(reached: str, aimed: str, words: str) -> None:
    """Cones 01 and 1 are neighbours, and 05½ is hotter than 06."""
    assert cones.in_words(cones.half_cones_over(Cone.of(reached), Cone.of(aimed))) == words


def _read(aimed: str, *reached: str) -> tuple[Cone, list[Cone]]:
    return Cone.of(aimed), [Cone.of(name) for name in reached]


def test_a_kiln_that_keeps_missing_its_cone_has_drifted() -> None:
    """Three firings a cone too hot are a drift."""
    drift = cones.drift([_read("6", "7", "7"), _read("6", "7"), _read("06", "05", "05", "06")])
    assert drift is not None
    assert (drift.firings, drift.half_cones, drift.is_off) == (3, 2, True)
    assert drift.words == "one cone hotter"


def test_one_misread_cone_makes_no_drift() -> None:
    """The middle counts, so a single stray reading changes nothing."""
    drift = cones.drift([_read("6", "6"), _read("6", "6"), _read("6", "9")])
    assert drift is not None
    assert not drift.is_off


def test_one_firing_alone_makes_no_drift() -> None:
    """A kiln has drifted when it does it again."""
    drift = cones.drift([_read("6", "7")])
    assert drift is not None
    assert not drift.is_off


def test_shelves_that_miss_on_both_sides_are_as_aimed() -> None:
    """One shelf a cone hotter and one a cone cooler: the kiln is uneven, not off."""
    drift = cones.drift([_read("6", "7", "5"), _read("6", "5", "7")])
    assert drift is not None
    assert drift.half_cones == 0


def test_without_witness_cones_nothing_is_said_of_drift() -> None:
    """No reading, no judgement."""
    assert cones.drift([_read("6"), _read("06")]) is None
