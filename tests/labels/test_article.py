"""Article numbers against published digits, and their bars against the standard's measures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.labels import article
from vendor.labels.article import (
    NotAnArticleNumber,
    bars_for,
    check_digit,
    module_widths,
    own_number,
    read_number,
    shown,
)
from vendor.labels.layouts import lay_out
from vendor.labels.lengths import POINTS_PER_INCH, mm
from vendor.labels.placing import Layout, Printing, space_on
from vendor.labels.sheets import Sheet
from vendor.labels.tags import TagText

MM = 25.4 / POINTS_PER_INCH


@pytest.mark.parametrize(
    ("digits", "check"),
    [
        ("629104150021", 3),  # GS1, how to calculate a check digit manually: sum 57
        ("730001100001", 7),  # GS1 Sweden: sum 23
        ("890400021003", 7),  # GS1 India
        ("41600033610", 8),  # GS1 syntax dictionary, lint_csum.c
        ("123456789012", 8),  # GS1 syntax dictionary, lint_csum.c
        ("0234567", 3),  # GS1 syntax dictionary, lint_csum.c
        ("501234567890", 0),  # a sum that is a whole ten already
    ],
)
def test_check_digits_are_those_that_are_published(digits: str, check: int) -> None:
    """Weights 3, 1, 3 … from the right, whatever the length."""
    assert check_digit(digits) == check


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("6291041500213", "6291041500213"),
        ("4 16000 33610 8", "0416000336108"),
        ("1-234567-890128", "1234567890128"),
    ],
)
def test_numbers_are_read_with_the_gaps_of_print(typed: str, kept: str) -> None:
    """Twelve digits get the zero that makes them thirteen, and are shown without it."""
    assert read_number(typed) == kept
    assert shown(read_number("416000336108")) == "416000336108"


@pytest.mark.parametrize("wrong", ["416000336109", "1234567890129"])
def test_a_wrong_check_digit_says_which_it_would_be(wrong: str) -> None:
    """Both are wrong in the GS1 syntax dictionary (lint_csum.c); both would end in 8."""
    with pytest.raises(NotAnArticleNumber, match="would be 8, not 9"):
        read_number(wrong)


@pytest.mark.parametrize("wrong", ["", "123", "12345678901234", "62910415002x3", "٦٢٩١٠٤١٥٠٠٢١٣"])
def test_what_is_no_number_is_refused(wrong: str) -> None:
    """Other lengths, letters, and digits of other scripts."""
    with pytest.raises(NotAnArticleNumber, match="has 12 or 13 digits"):
        read_number(wrong)


def test_ones_own_numbers_begin_with_04_and_are_right() -> None:
    """0400000000015: restricted circulation within a company (GS1 General Specifications)."""
    assert own_number(1) == "0400000000015"
    assert read_number(own_number(9_999_999_999)) == own_number(9_999_999_999)
    with pytest.raises(NotAnArticleNumber, match="no numbers left"):
        own_number(10**10)


@given(st.integers(0, 10**12 - 1), st.integers(0, 11), st.integers(1, 9))
def test_one_wrong_digit_is_always_found(body: int, place: int, by: int) -> None:
    """That is what the check digit is for."""
    number = f"{body:012d}{check_digit(f'{body:012d}')}"
    changed = str((int(number[place]) + by) % 10)
    with pytest.raises(NotAnArticleNumber):
        read_number(number[:place] + changed + number[place + 1 :])


@given(st.integers(0, 10**12 - 1))
def test_bars_are_95_modules_in_59_stripes(body: int) -> None:
    """ISO/IEC 15420: 3 + 42 + 5 + 42 + 3 modules; each digit two bars and two spaces."""
    widths = module_widths(f"{body:012d}{check_digit(f'{body:012d}')}")
    assert sum(widths) == 95
    assert len(widths) == 59
    assert set(widths) <= {1, 2, 3, 4}


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_bars_keep_to_the_sizes_of_the_standard(dpi: int) -> None:
    """GS1 size guide: module 0.264–0.660 mm, 18.28 mm high at the least, blanks 11 (UPC-A 9)."""
    usual = [bars for bars in bars_for("5012345678900", dpi) if not bars.last_resort]
    assert usual
    for bars in usual:
        assert 0.264 <= bars.module * MM <= 0.660
        assert bars.least_height * MM >= 18.28 - 0.01
        assert bars.least_height / bars.module == pytest.approx(22.85 / 0.330, rel=1e-3)
        assert bars.quiet == pytest.approx(11 * bars.module)
        assert bars.dots == bars.module * dpi / POINTS_PER_INCH
    assert bars_for("0416000336108", dpi)[0].quiet_modules == 9
    assert bars_for("0416000336108", dpi)[0].code == "416000336108"


@pytest.mark.parametrize(("dpi", "dots"), [(203, 2), (300, 3), (600, 6)])
def test_the_last_resort_is_narrower_and_no_lower(dpi: int, dots: int) -> None:
    """75 % of the usual size, on demand only, at the height of 80 % (guides to GS1's sizes)."""
    *_, last = bars_for("5012345678900", dpi)
    assert last.last_resort
    assert last.dots == dots
    assert 0.249 <= last.module * MM < 0.264
    assert last.least_height * MM == pytest.approx(18.28, abs=0.01)


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize(
    ("height", "fits"),
    [("38.1", True), ("25.4", True), ("21.2", False)],
)
def test_a_label_of_an_inch_takes_an_article_number(dpi: int, height: str, fits: bool) -> None:
    """Higher labels have bars of the usual width; on lower ones the bars would be cut short."""
    tag = TagText("Tumbler", "$34.00", "5012345678900", "celadon", way="number")
    done = lay_out(tag, space_on(Sheet.single(mm("66.7"), mm(height)), Printing(dpi, margin=0)))
    if not fits:
        assert not isinstance(done, Layout)
        assert (
            "must be 18.3 mm high to be read, and above the code there is room" in done[0].sentence
        )
        return
    assert isinstance(done, Layout)
    assert done.bars is not None
    assert done.bars.height * MM >= 18.27
    assert done.bars.bars.last_resort is (height == "25.4")


def test_a_code_fault_is_told() -> None:
    """The refusal of a wrong number is the reason why a tag isn't printed."""
    assert article.code_fault("5012345678900") is None
    assert "would be 0" in str(article.code_fault("5012345678901"))
