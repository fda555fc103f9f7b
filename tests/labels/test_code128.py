"""Code 128: the right bars, on whole printer dots, or a sentence why not."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.labels.reading import decode
from vendor.labels.code128 import (
    LONGEST_CODE,
    QUIET_MODULES,
    RESOLUTIONS,
    bars_for,
    code_fault,
    dot,
    module_widths,
    room_fault,
)
from vendor.labels.lengths import mm, points


def drawn(code: str, dots: int = 2) -> Image.Image:
    """Draw a code's bars straight from their widths, one pixel a dot."""
    row = [np.full(QUIET_MODULES * dots, 255, np.uint8)]
    for number, width in enumerate(module_widths(code)):
        row.append(np.full(width * dots, 255 if number % 2 else 0, np.uint8))
    row.append(row[0])
    return Image.fromarray(np.tile(np.concatenate(row), (50, 1)))


# AIM1234: the example of ISO/IEC 15417:2007 Annex A.1, as recorded in the tests of zint; HI345678:
# Barcode Island. Encoders may choose other code sets for one text, so the text is compared.
@pytest.mark.parametrize("code", ["AIM1234", "HI345678", "TUM-CEL", "ABCDEF", "abcdef", "1", "12"])
def test_published_examples_are_read_by_an_independent_decoder(code: str) -> None:
    """What zxing-cpp reads from the bars is the code."""
    assert decode(drawn(code)) == code


# 11 modules a character and 35 for start, check and stop: 101 for 6 letters, 68 for 6 digits
# (ISO/IEC 15417:2007, 4.4.2; python-barcode gives the same)
@pytest.mark.parametrize(("code", "modules"), [("ABCDEF", 101), ("abcdef", 101), ("345678", 68)])
def test_a_symbol_is_as_long_as_the_standard_says(code: str, modules: int) -> None:
    """Digits in pairs take half the room of letters."""
    assert sum(module_widths(code)) == modules


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=24))
def test_any_code_that_is_not_refused_is_read_back(code: str) -> None:
    """Every printable ASCII text, in whatever code sets it takes."""
    if code_fault(code) is None:
        assert decode(drawn(code)) == code


@pytest.mark.parametrize("resolution", RESOLUTIONS)
def test_bars_are_whole_printer_dots_from_good_to_narrow(resolution: int) -> None:
    """No bar is narrower than 0.19 mm (from memory) or wider than is of use."""
    choices = bars_for("TUM-CEL", resolution)
    assert choices
    assert [bars.dots for bars in choices] == sorted({bars.dots for bars in choices}, reverse=True)
    for bars in choices:
        assert points(mm("0.19")) <= bars.module <= points(mm("0.38"))
        for left, width in bars.edges():
            assert left / dot(resolution) == pytest.approx(round(left / dot(resolution)))
            assert width / dot(resolution) == pytest.approx(round(width / dot(resolution)))


def test_the_narrow_bar_at_203_dots_is_a_quarter_millimetre() -> None:
    """Two dots are 0.25025 mm."""
    assert bars_for("TUM-CEL", 203)[-1].module / 72 * 25.4 == pytest.approx(0.25025, abs=1e-5)


def test_bars_have_ten_blank_modules_and_the_larger_of_the_published_heights() -> None:
    """10 modules each side (ISO/IEC 15417:2007, 4.4.2); 6.35 mm or 15 % (barcode4j's manual)."""
    short, long = bars_for("TUM-CEL", 300)[-1], bars_for("A" * 30, 300)[-1]
    assert short.full_length == pytest.approx((7 * 11 + 35 + 20) * short.module)
    assert short.least_height == pytest.approx(points(mm("6.35")))
    assert long.least_height == pytest.approx(0.15 * long.full_length)
    assert long.least_height > points(mm("6.35"))


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("", "no code"),
        ("TUM-CÉL", "because of 'É'"),
        ("TUM\n", "because of"),
        (" TUM", "begins or ends with a space"),
        ("9" * (LONGEST_CODE + 1), "the most that can be put in bars"),
    ],
)
def test_a_code_that_cannot_be_put_in_bars_says_why(code: str, words: str) -> None:
    """Empty, foreign, padded and endless codes."""
    fault = code_fault(code)
    assert fault is not None
    assert words in fault


def test_bars_too_long_or_too_high_for_their_room_say_so_in_millimetres() -> None:
    """The sentence gives the length needed, the room, and what to do."""
    width, height = points(mm("38.1")), points(mm("21.2"))
    assert room_fault(bars_for("TUM-CEL", 203)[-1], width, height) is None
    fault = room_fault(bars_for("TUMBLER-CELADON-2", 203)[-1], width, height)
    assert fault is not None
    assert "60.6 mm long in bars at 203 dots" in fault
    assert "room for 38.1 mm" in fault
    low = room_fault(bars_for("TUM-CEL", 203)[-1], width, points(mm(6)))
    assert low is not None
    assert "must be 6.4 mm high to be read, and above the code there is room for 6 mm" in low
