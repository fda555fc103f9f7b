"""The test print, and a printer that makes a length a little longer or shorter than true."""

import pytest

from tests.labels.reading import STUDIO, Box, cut_out, decode, outlines, picture, words
from tests.labels.test_pdf import BY_NAME, THIRTY, box_of
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.lengths import mm
from vendor.labels.pdf import draw_tags
from vendor.labels.placing import Printing
from vendor.labels.proof import draw_proof
from vendor.labels.scale import TRUE_SIZE, Scale
from vendor.labels.sheets import Frame, Nudge, Sheet
from vendor.labels.tags import TagText

SCALE = Scale(992_000, 1_004_000)


PEN = 0.353
"""A line of half a point is said to be so thick, and so much longer than it is (mm)."""


def strokes(data: bytes) -> tuple[list[Box], list[Box]]:
    """Give the level and the upright lines of a page, from end to end."""
    half, found = PEN / 2, outlines(data, 1)
    boxes = [Box(b.left + half, b.bottom + half, b.right - half, b.top - half) for b in found]
    level = [box for box in boxes if box.top - box.bottom < 0.01 < box.right - box.left]
    upright = [box for box in boxes if box.right - box.left < 0.01 < box.top - box.bottom]
    return level, upright


def test_a_test_print_numbers_every_label() -> None:
    """On plain paper, with the nudge; held against the sheet, it shows what to correct."""
    data = draw_proof(THIRTY, Printing(nudge=Nudge(mm(1), 0)))
    assert "Print at actual size" in words(data)
    assert "Not made up for" not in words(data)
    assert [word for word in words(data).split() if word == "30"] == ["30"]
    frames = [box_of(frame, THIRTY) for frame in THIRTY.frames_on_page(1, 30, nudge=Nudge(mm(1)))]
    found = [
        box for box in outlines(data, 1) if min(box.right - box.left, box.top - box.bottom) > 20
    ]
    assert len(found) == 30
    assert all(a.within(b, slack=0.1) for a, b in zip(found, frames, strict=True))
    assert STUDIO not in words(data)


@BY_NAME
@pytest.mark.parametrize("scale", [TRUE_SIZE, SCALE])
def test_a_ruler_runs_across_and_one_down(sheet: Sheet, scale: Scale) -> None:
    """Four inches with a mark at 100 mm, of their true length whatever is known of the printer."""
    data = draw_proof(sheet, Printing(scale=scale))
    level, upright = strokes(data)
    assert max(box.right - box.left for box in level) == pytest.approx(101.6, abs=0.01)
    assert max(box.top - box.bottom for box in upright) == pytest.approx(101.6, abs=0.01)
    assert words(data).count("100 mm") == (2 if scale == TRUE_SIZE else 3)
    assert words(data).count("4 in") == 2
    told = "Not made up for here: 100 mm became 99.2 across, 100.4 down."
    assert (told in words(data)) is (scale == SCALE)


def test_the_marks_of_a_ruler_are_ten_millimetres_and_an_inch_apart() -> None:
    """Read from the file: eleven marks above the line across, five below it."""
    level, upright = strokes(draw_proof(THIRTY, Printing()))
    rule = max(level, key=lambda box: box.right - box.left)
    above = [b.left - rule.left for b in upright if abs(b.bottom - rule.top) < 0.01]
    below = [b.left - rule.left for b in upright if abs(b.top - rule.top) < 0.01]
    assert sorted(above) == pytest.approx([10 * n for n in range(11)], abs=0.01)
    assert sorted(below) == pytest.approx([25.4 * n for n in range(5)], abs=0.01)


def test_small_paper_has_a_shorter_ruler_or_none() -> None:
    """A label of 50 × 30 mm: an inch across; down there is no room for one."""
    data = draw_proof(Sheet.single(mm(50), mm(30)))
    assert "100 mm" not in words(data)
    assert words(data).count("20 mm") == words(data).count("1 in") == 1


@BY_NAME
def test_labels_lie_on_the_paper_as_they_should_by_a_printer_that_errs(sheet: Sheet) -> None:
    """What the printer makes of the file's frames is the sheet's own numbers, within 0.1 mm."""
    printing = Printing(nudge=Nudge(mm("0.5"), mm("-0.2")), scale=SCALE, outline=True)
    data = draw_tags([TagText("Tumbler", "$48", "TUM-CEL")] * sheet.per_page, sheet, printing)
    high = sheet.paper_height / 1000
    found = outlines(data, 1)
    frames = sheet.frames_on_page(1, sheet.per_page, nudge=printing.nudge)
    assert len(found) == len(frames)
    for box, frame in zip(found, frames, strict=True):
        made = Box(
            box.left * 0.992,
            high - (high - box.bottom) * 1.004,
            box.right * 0.992,
            high - (high - box.top) * 1.004,
        )
        assert made.within(box_of(frame, sheet), slack=0.1)
        assert box_of(frame, sheet).within(made, slack=0.1)


@pytest.mark.parametrize("dpi", [203, 300])
def test_bars_stay_on_whole_dots_when_a_scale_is_made_up_for(dpi: int) -> None:
    """Every label of a full sheet is read, from where the file has it."""
    sheet, printing = KNOWN_SHEETS[4], Printing(dpi, scale=SCALE)
    codes = [f"TUM-{number}" for number in range(sheet.per_page)]
    data = draw_tags([TagText("Tumbler", "$48", code) for code in codes], sheet, printing)
    page = picture(data, 1, dpi)
    frames = map(SCALE.in_file, sheet.frames_on_page(1, sheet.per_page))
    assert [decode(cut_out(page, frame, dpi)) for frame in frames] == codes


def test_a_true_printer_changes_nothing() -> None:
    """To the micrometre."""
    frame = Frame(1, 4_762, 12_700, 66_675, 25_400)
    assert TRUE_SIZE.in_file(frame) == frame


@pytest.mark.parametrize("scale", [Scale(940_000), Scale(down=1_030_000), Scale(-1), Scale(0)])
def test_a_print_that_was_fitted_to_the_page_is_told(scale: Scale) -> None:
    """Nothing is made up for: the next print may be fitted differently."""
    [told] = scale.faults()
    assert "fitted to the page" in told
    assert "actual size" in told
    assert Printing(scale=scale).faults() == (told,)
