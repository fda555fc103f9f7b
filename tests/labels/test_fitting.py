"""Fitting text: it shrinks, wraps, and never leaves its room."""

from hypothesis import given
from hypothesis import strategies as st

from vendor.house.typeface import Face, ink_above, ink_below, width_in_ems
from vendor.labels.fitting import LEGIBLE, Block, Para, Style, block, wrapped

STYLE = Style(Face.REGULAR, largest=14.0, lines=3)


def set_in(text: str, width: float, height: float = 40.0) -> Block | None:
    return block([Para("name", text, STYLE)], width, height)


def test_a_short_text_keeps_its_largest_size() -> None:
    """Nothing shrinks without need."""
    done = set_in("Tumbler", 200)
    assert done is not None
    assert [line.size for line in done.lines] == [14.0]


def test_a_longer_text_shrinks_before_it_wraps() -> None:
    """One line, smaller, while that is still a fair size."""
    done = set_in("Lidded casserole", 80)
    assert done is not None
    assert len(done.lines) == 1
    assert LEGIBLE < done.lines[0].size < 14.0


def test_a_long_text_wraps_at_its_words() -> None:
    """Lines break after spaces and hyphens, and lose nothing."""
    done = set_in("Lidded casserole with two lugs", 60)
    assert done is not None
    assert " ".join(line.text for line in done.lines) == "Lidded casserole with two lugs"
    assert wrapped("one-of-a-kind", Face.REGULAR, 2.5) == ("one-", "of-a-", "kind")


def test_a_text_that_cannot_fit_is_not_set_at_all() -> None:
    """Too long a word, too many lines or too little height give nothing, not a cut text."""
    assert set_in("Incomprehensibilities", 30) is None
    assert set_in("a very long name " * 8, 60) is None
    assert set_in("Tumbler", 200, height=3) is None


@given(
    texts=st.lists(st.text("abgÉ Şj-/", min_size=1, max_size=40), min_size=1, max_size=3),
    width=st.floats(5, 300),
    height=st.floats(4, 100),
)
def test_what_is_set_is_whole_and_in_its_room(
    texts: list[str], width: float, height: float
) -> None:
    """Every character is there, each line is narrow enough, and lines keep off each other."""
    texts = [" ".join(text.split()) or "x" for text in texts]
    done = block([Para(str(n), text, STYLE) for n, text in enumerate(texts)], width, height)
    if done is None:
        return
    for number, text in enumerate(texts):
        lines = [line.text for line in done.lines if line.part == str(number)]
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
        assert len(lines) <= STYLE.lines
    above = 0.0
    for line in done.lines:
        assert line.size >= LEGIBLE
        assert line.width <= width + 1e-6
        assert line.down - ink_above(line.text, line.face) * line.size >= above - 1e-6
        above = line.down + ink_below(line.text, line.face) * line.size
    assert above <= height + 1e-6


@given(st.text("ab cd-e", max_size=30), st.floats(0.5, 20))
def test_wrapping_never_makes_a_line_too_wide(text: str, ems: float) -> None:
    """Or says that it can't be done."""
    for line in wrapped(text, Face.REGULAR, ems) or ():
        assert width_in_ems(line, Face.REGULAR) <= ems
