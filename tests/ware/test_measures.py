"""Measures are read as potters type them, and codes are short and never look alike."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.ware import codes, measures
from vendor.ware.measures import NotAMeasure


@pytest.mark.parametrize(
    ("text", "inches", "mm"),
    [
        ("11.5", False, 115), ("11,5", False, 115), ("11.5 cm", False, 115), ("115mm", False, 115),
        ("4½ in", False, 114), ("4 1/2", True, 114), ("4½", True, 114), ("1 ½ in", True, 38),
        ('4.5"', True, 114), ("4.5″", True, 114), ("¼", True, 6), ("3/8", True, 10),
        ("11 cm", True, 110), (" 115 MM ", True, 115), ("10 in", True, 254),
    ],
)  # fmt: skip
def test_a_length_is_read_in_the_studios_units(text: str, inches: bool, mm: int) -> None:
    """1 in is 25.4 mm exactly; a unit that is written wins over the studio's own."""
    assert measures.read_length(text, inches=inches) == mm


@pytest.mark.parametrize(
    ("text", "pounds", "grams"),
    [
        ("450", False, 450), ("450 g", False, 450), ("1.25 kg", False, 1250), ("1 lb", True, 454),
        ("1 lb 2 oz", True, 510), ("1lb2oz", True, 510), ("18 oz", True, 510), ("2½", True, 1134),
        ("2 1/2 lbs", True, 1134),
    ],
)  # fmt: skip
def test_a_weight_is_read_in_the_studios_units(text: str, pounds: bool, grams: int) -> None:
    """1 lb is 453.59237 g exactly and has 16 oz."""
    assert measures.read_weight(text, pounds=pounds) == grams


@pytest.mark.parametrize(
    "text",
    ["", " ", "0", "0 in", "-4", "4 4", "four", "1/0", "٤", "４", "4 ft", "4 in 3 in", "9" * 30,
     "1e3", "4..5", "1/2/3", "4 1/2 1/2", "½½", "4 in high", "NaN", "1_000"],
)  # fmt: skip
def test_what_is_no_length_is_not_guessed_at(text: str) -> None:
    """Nothing, zero, below zero, words, foreign digits and strange units are refused."""
    with pytest.raises(NotAMeasure):
        measures.read_length(text, inches=True)


@pytest.mark.parametrize("text", ["2 oz 1 lb", "1 kg 200 g", "", "0 g", "1 lb 2 lb", "1 in"])
def test_what_is_no_weight_is_not_guessed_at(text: str) -> None:
    """Only pounds are followed by ounces."""
    with pytest.raises(NotAMeasure):
        measures.read_weight(text, pounds=True)


@given(st.text(max_size=30), st.booleans())
def test_any_text_is_a_measure_or_is_refused(text: str, own: bool) -> None:
    """No text makes the reading fail in another way, or gives nothing."""
    for read in (
        lambda: measures.read_length(text, inches=own),
        lambda: measures.read_weight(text, pounds=own),
    ):
        with contextlib.suppress(NotAMeasure):
            assert read() > 0


@given(st.integers(1, 2000))
def test_millimetres_read_back(mm: int) -> None:
    """A length in centimetres comes back as it was."""
    assert measures.read_length(f"{mm / 10:.1f}", inches=False) == mm


@pytest.mark.parametrize(
    ("name", "taken", "code"),
    [
        ("Tumbler", [], "TUM"), ("Tumbler, tall", ["TUM"], "TUT"), ("Berry bowl", [], "BER"),
        ("Élan vase", [], "ELA"), ("Сервиз", [], "F2"), ("Сервиз", ["F2"], "F3"), ("A", [], "A2"),
        ("Öl", [], "OL"), ("Zoe", ["ZOE"], "ZO2"),
    ],
)  # fmt: skip
def test_a_code_comes_from_the_name(name: str, taken: list[str], code: str) -> None:
    """From its letters where it has some; a name in another script gets a letter and a digit."""
    assert codes.suggest(name, taken, otherwise="F") == code


@given(st.lists(st.text(min_size=1, max_size=20), max_size=60))
def test_suggested_codes_are_short_and_never_look_alike(names: list[str]) -> None:
    """Whatever the names are, two quick eyes tell the codes apart."""
    taken: list[str] = []
    for name in names:
        code = codes.suggest(name, taken, otherwise="F")
        assert 2 <= len(code) <= codes.LONGEST_PART
        assert codes.looks_like(code, taken) is None
        assert not set(code) & set("01")
        taken.append(code)


def test_codes_that_are_easily_taken_for_each_other_are_found() -> None:
    """O and 0, I and 1, S and 5, B and 8, Z and 2."""
    assert codes.looks_like("B0W", ["BOW"]) == "BOW"
    assert codes.looks_like("P1G-5", ["PIG-S"]) == "PIG-S"
    assert codes.looks_like("TUM", ["TUN"]) is None


def test_ware_codes_join_form_and_finish_and_stay_short() -> None:
    """At most twelve signs, however many there are of a kind."""
    taken: set[str] = set()
    for _ in range(73):
        code = codes.ware_code("BOWL", "TENM", taken)
        assert len(code) <= codes.LONGEST_WARE
        taken.add(code)
    assert {"BOWL-TENM", "BOWL-TENM-2", "BOWL-TENM-99"} <= taken
    with pytest.raises(ValueError, match="taken"):
        codes.ware_code("BOWL", "TENM", taken)
