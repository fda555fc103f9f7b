"""Why something was done, asked for in one way."""

import pytest

from vendor.house.reasons import LONGEST, ReasonNeeded, reason_of


def test_a_reason_is_kept_in_one_line() -> None:
    """Blanks around it and breaks within it say nothing."""
    assert reason_of("  fell off\n the plank ") == "fell off the plank"


@pytest.mark.parametrize("text", ["", " \n\t "])
def test_nothing_said_is_asked_for(text: str) -> None:
    """In the words of the act, or in general; either way nothing has happened."""
    with pytest.raises(ReasonNeeded, match=r"^Please say why: a word or two is enough\. Nothing"):
        reason_of(text)
    with pytest.raises(ReasonNeeded, match="^Please say why it comes back: "):
        reason_of(text, "it comes back")


def test_a_reason_is_never_cut() -> None:
    """As many letters as are kept; one more is refused rather than lost."""
    assert reason_of("x" * LONGEST) == "x" * 200
    with pytest.raises(ReasonNeeded, match="at most 200 letters, and this one has 201"):
        reason_of("x" * 201)
