"""QR squares keep to the standard's blank and to whole printer dots."""

import pytest

from vendor.labels.lengths import POINTS_PER_INCH
from vendor.labels.square import code_fault, fields_of, squares_for

MM = 25.4 / POINTS_PER_INCH


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_a_ware_code_takes_the_smallest_square_and_four_blank_fields(dpi: int) -> None:
    """ISO/IEC 18004: version 1 is 21 fields, 4 blank ones stand on all sides (9.1)."""
    for square in squares_for("TUM-CEL", dpi):
        assert len(square.rows) == 21
        assert square.quiet == pytest.approx(4 * square.field)
        assert square.side * MM >= 6.9
        assert square.field * dpi / POINTS_PER_INCH == pytest.approx(square.dots)


def test_longer_codes_take_more_fields() -> None:
    """Version v has 21 + 4 (v − 1) fields (ISO/IEC 18004)."""
    assert {(len(fields_of("X" * length)) - 21) % 4 for length in range(1, 60)} == {0}
    assert len(fields_of("X" * 60)) > 21


def test_the_runs_are_the_dark_fields() -> None:
    """Drawn together they cover what is dark, and nothing else."""
    square = squares_for("TUM-CEL", 203)[0]
    dark = sum(sum(row) for row in square.rows)
    area = sum(width * height for _, _, width, height in square.runs())
    assert area == pytest.approx(dark * square.field**2)


@pytest.mark.parametrize("code", ["", "  ", "X" * 61])
def test_codes_that_make_no_sensible_square_are_told(code: str) -> None:
    """Nothing, and more than a tag has room for."""
    assert str(code_fault(code)).endswith(".")
