"""The PDF itself, read back: frames, letters, and what isn't printed at all."""

from dataclasses import replace
from io import BytesIO
from itertools import repeat

import pytest
from pypdf import PdfReader

from tests.labels.reading import MM_PER_POINT, TAGS, Box, letters, outlines, words
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.lengths import mm
from vendor.labels.pdf import TagsRefused, check_tags, draw_tags
from vendor.labels.placing import Printing
from vendor.labels.sheets import Frame, Nudge, Sheet
from vendor.labels.tags import Tag, TagText

THIRTY, LOW = KNOWN_SHEETS[0], KNOWN_SHEETS[2]
BY_NAME = pytest.mark.parametrize("sheet", KNOWN_SHEETS, ids=lambda sheet: sheet.name)


def run(count: int) -> list[Tag]:
    return [TAGS[number % len(TAGS)] for number in range(count)]


def box_of(frame: Frame, sheet: Sheet) -> Box:
    """Give a frame in millimetres from the page's lower left corner."""
    high = sheet.paper_height
    edges = (frame.x, high - frame.bottom, frame.right, high - frame.y)
    return Box(*(edge / 1000 for edge in edges))


@BY_NAME
def test_label_frames_in_the_file_are_where_the_sheet_says(sheet: Sheet) -> None:
    """Within a tenth of a millimetre, on all pages, from a start position and with a nudge."""
    nudge, start = Nudge(mm("0.8"), mm("-0.3")), sheet.per_page - 2
    count = sheet.per_page + 5
    tag = [TagText("Tumbler", "$48", "TUM-CEL")]
    data = draw_tags(tag * count, sheet, Printing(nudge=nudge, outline=True), start=start)
    for page in range(1, sheet.pages_for(count, start) + 1):
        frames = sheet.frames_on_page(page, count, start, nudge)
        found = outlines(data, page)
        assert len(found) == len(frames)
        for box, frame in zip(found, frames, strict=True):
            assert box.within(box_of(frame, sheet), slack=0.1)
            assert box_of(frame, sheet).within(box, slack=0.1)


@BY_NAME
def test_every_letter_is_on_its_label(sheet: Sheet) -> None:
    """By the positions of the characters that pdfium finds in the file."""
    count = min(sheet.per_page, 2 * len(TAGS))
    data = draw_tags(run(count), sheet)
    frames = [box_of(frame, sheet) for frame in sheet.frames_on_page(1, count)]
    found = list(letters(data, 1))
    assert len(found) > 30 * count
    for character, box in found:
        assert any(box.within(frame, slack=0) for frame in frames), character


def test_letters_of_many_languages_and_signs_are_printed() -> None:
    """Read back by two readers."""
    ware, finish = "Thé, jarrón ñ ł ő š ğ", "½ cup, 4″ × 2″"
    tags = [TagText(ware, price, "TUM-CEL", finish) for price in ("€18.50", "£16")]
    data = draw_tags(tags, THIRTY)
    for text in (words(data), PdfReader(BytesIO(data)).pages[0].extract_text()):
        for wanted in (ware, finish, "€18.50", "£16", "TUM-CEL"):
            assert wanted in text


@BY_NAME
def test_names_that_need_the_second_typeface_fit_and_are_printed(sheet: Sheet) -> None:
    """Hausa, Venda, Yoruba: as wide as was measured, on every common sheet."""
    names = ("Ƙwarya", "Ṱhoho", "Ẹnúkọ")
    data = draw_tags([TagText(name, "₦18,500", "TUM-CEL", "ǿ", "Ẹk") for name in names], sheet)
    found = words(data)
    for name in " ".join(names).split():
        assert name in found
    frames = [box_of(sheet.frame(place), sheet) for place in (1, 2, 3)]
    for character, box in letters(data, 1):
        assert any(box.within(frame, slack=0) for frame in frames), character


def test_all_fonts_are_in_the_file() -> None:
    """A printer that lacks them prints the same."""
    data = draw_tags([*run(6), TagText("Ƙwarya", "₪48", "TUM-CEL")], THIRTY)
    for page in PdfReader(BytesIO(data)).pages:
        fonts = page["/Resources"]["/Font"].values()  # type: ignore[index]
        assert fonts
        assert all("/FontFile2" in font.get_object()["/FontDescriptor"] for font in fonts)


def test_the_file_asks_to_be_printed_at_its_true_size() -> None:
    """Fitting to the page would shift every label."""
    reader = PdfReader(BytesIO(draw_tags(run(1), THIRTY)))
    root = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]
    box = reader.pages[0].mediabox
    assert float(box.width) * MM_PER_POINT == pytest.approx(215.9, abs=0.01)
    assert float(box.height) * MM_PER_POINT == pytest.approx(279.4, abs=0.01)


def test_the_same_tags_give_the_same_bytes() -> None:
    """So that a print can be compared with an earlier one."""
    assert draw_tags(run(20), THIRTY) == draw_tags(iter(run(20)), THIRTY)


def test_each_label_holds_the_tag_that_was_asked_for() -> None:
    """In order, also over pages, whether a tag comes once or more often."""
    tags = [TagText(f"Jar {number}", "$9", "JAR") for number in (1, 2, 2, 3)] + run(2)
    data = draw_tags(tags, THIRTY, start=29)
    text = words(data)
    places = [text.index(f"Jar {number}") for number in (1, 2, 3)]
    assert places == sorted(places)
    assert text.count("Jar 2") == 2
    assert len(PdfReader(BytesIO(data)).pages) == 2


def test_no_tags_are_refused() -> None:
    """There is nothing to print, and it is said what to do."""
    with pytest.raises(TagsRefused, match="Choose at least one piece"):
        draw_tags([], THIRTY)


def test_a_hundred_thousand_tags_are_refused_with_the_reason() -> None:
    """Without making them first."""
    with pytest.raises(TagsRefused, match="more than 10,000 tags") as refusal:
        draw_tags(repeat(TAGS[0], 100_000), THIRTY)
    assert "several runs" in refusal.value.message


def test_a_sheet_that_is_wrong_is_refused_with_all_its_faults() -> None:
    """So is a printer that isn't known."""
    bad = replace(THIRTY, step_across=mm(60))
    printing = Printing(1200, Nudge(mm(40)), margin=mm(30))
    with pytest.raises(TagsRefused, match="columns overlap") as refusal:
        draw_tags(run(3), bad, printing)
    for words_ in ("1200 dots", "nudge of 40 mm", "blank edge of 30 mm"):
        assert words_ in refusal.value.message


def test_one_bad_tag_keeps_the_whole_file_from_being_made() -> None:
    """A file holds every tag or isn't made; the first few faults are told, all are given."""
    bad = [TagText(f"志{number}", "$9", "JAR") for number in range(8)]
    with pytest.raises(TagsRefused, match="And 3 more") as refusal:
        draw_tags([*run(3), *bad], THIRTY)
    assert len(refusal.value.faults) == 8
    assert refusal.value.message.startswith("Nothing was printed.")


def test_what_is_left_out_is_noted_before_printing() -> None:
    """The studio's name doesn't go on labels of half an inch."""
    checked = check_tags(run(6) * 2, LOW, Printing())
    assert checked.faults == ()
    assert "studio's name is left out of 10 tags" in checked.notes[0]
    assert check_tags(run(6), THIRTY, Printing()).notes == ()
