"""Printed tags are read by an independent decoder, from pictures of the printer's own dots."""

from itertools import cycle

import pytest

from tests.labels.reading import ANGLES, STUDIO, askew, cut_out, decode, picture
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.pdf import draw_tags
from vendor.labels.placing import Printing
from vendor.labels.sheets import Nudge, Sheet
from vendor.labels.tags import RewardText, TagText

CODES = ("TUM-CEL", "BB-07", "P-0042", "120417", "CND-M2", "84", "THJ-SHI")
LONGER = ("TUM-CEL-2026-118", "LIDDED-CASSEROLE", "20261205001734")
BY_NAME = pytest.mark.parametrize("sheet", KNOWN_SHEETS, ids=lambda sheet: sheet.name)


def tag_for(code: str) -> TagText:
    return TagText("Tumbler", "$48.00", code, "celadon", studio=STUDIO)


@BY_NAME
@pytest.mark.parametrize("dpi", [203, 300])
def test_every_tag_of_every_sheet_is_read(sheet: Sheet, dpi: int) -> None:
    """Each label of a full sheet gives its own code, at the printer's own dots."""
    codes = [CODES[number % len(CODES)] for number in range(sheet.per_page)]
    data = draw_tags(map(tag_for, codes), sheet, Printing(dpi))
    page = picture(data, 1, dpi)
    frames = sheet.frames_on_page(1, sheet.per_page)
    assert [decode(cut_out(page, frame, dpi)) for frame in frames] == codes


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("code", LONGER)
def test_longer_codes_are_read_on_wide_labels(code: str, dpi: int) -> None:
    """Sixteen letters, or fourteen digits in pairs."""
    sheet = KNOWN_SHEETS[0]
    page = picture(draw_tags([tag_for(code)], sheet, Printing(dpi)), 1, dpi)
    assert decode(cut_out(page, sheet.frame(1), dpi)) == code


def test_the_example_of_the_standard_is_read_from_a_tag() -> None:
    """ISO/IEC 15417:2007, Annex A.1: AIM1234."""
    sheet = KNOWN_SHEETS[0]
    page = picture(draw_tags([tag_for("AIM1234")], sheet, Printing(203)), 1, 203)
    assert decode(cut_out(page, sheet.frame(1), 203)) == "AIM1234"


def test_a_nudge_and_a_start_do_not_spoil_the_bars() -> None:
    """Bars stay on whole dots wherever the label lies."""
    sheet, nudge = KNOWN_SHEETS[0], Nudge(370, -410)
    data = draw_tags([tag_for("TUM-CEL")] * 9, sheet, Printing(203, nudge), start=20)
    page = picture(data, 1, 203)
    frames = sheet.frames_on_page(1, 9, 20, nudge)
    assert {decode(cut_out(page, frame, 203)) for frame in frames} == {"TUM-CEL"}


@BY_NAME
@pytest.mark.parametrize("dpi", [203, 300])
def test_every_tag_of_every_sheet_is_read_blurred_and_tilted(sheet: Sheet, dpi: int) -> None:
    """As a phone sees it: twice the printer's dots, soft edges, a degree or two askew."""
    codes = [CODES[number % len(CODES)] for number in range(sheet.per_page)]
    page = picture(draw_tags(map(tag_for, codes), sheet, Printing(dpi)), 1, 2 * dpi)
    frames = sheet.frames_on_page(1, sheet.per_page)
    read = [
        decode(askew(cut_out(page, frame, 2 * dpi), angle))
        for frame, angle in zip(frames, cycle(ANGLES), strict=False)
    ]
    assert read == codes


def test_a_reward_tag_is_read_by_its_promise() -> None:
    """The code of the promise is in the bars where it has one."""
    sheet = KNOWN_SHEETS[0]
    tags = [RewardText("Berry bowl", "Inés", "P-0042"), RewardText("Berry bowl", "P-0043")]
    page = picture(draw_tags(tags, sheet, Printing(203)), 1, 203)
    found = [decode(cut_out(page, sheet.frame(position), 203)) for position in (1, 2)]
    assert found == ["P-0042", None]
