"""Every kind of tag on every common sheet in every symbol: in its place, and read."""

from functools import cache
from io import BytesIO
from itertools import cycle, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.labels.reading import ANGLES, STUDIO, Box, askew, cut_out, decode, picture, pieces
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.layouts import lay_out
from vendor.labels.pdf import check_tags, draw_tags
from vendor.labels.placing import Layout, Printing, space_on
from vendor.labels.sheets import Nudge, Sheet
from vendor.labels.tags import BasketText, Picture, RewardText, Shape, SlipText, Tag, TagText

CODES = {"code128": "TUM-CEL", "qr": "TUM-CEL", "number": "5012345678900"}
BY_NAME = pytest.mark.parametrize("sheet", KNOWN_SHEETS, ids=lambda sheet: sheet.name)
BY_DPI = pytest.mark.parametrize("dpi", [203, 300])
TALL = Sheet.single(38_000, 90_000)


@cache
def mark() -> Picture:
    """A studio's mark: a dark disc on white."""
    image = Image.new("L", (300, 200), 255)
    image.paste(0, (20, 20, 180, 180))
    target = BytesIO()
    image.save(target, "PNG")
    return Picture(target.getvalue(), 300, 200)


def kinds(way: str, code: str | None = None) -> list[Tag]:
    """Give one tag of each kind that carries a code, and the studio's mark on one of them."""
    code = code or CODES[way]
    flat, hang, fold = (
        TagText("Tumbler", "$34.00", code, "celadon", "Second", "", STUDIO, "Wash by hand.",
                way, shape)
        for shape in (Shape.FLAT, Shape.HANG, Shape.FOLD)
    )  # fmt: skip
    marked = TagText("Salt pig", "$48.00", code, "ash", studio=STUDIO, way=way, picture=mark())
    basket = BasketText("Thimble jar", "$8.00", "3 for $21.00", "shino", code, "", STUDIO, way)
    return [flat, hang, fold, marked, basket]


def fitting(sheet: Sheet, printing: Printing) -> list[Tag]:
    """Give the kinds that go on a sheet; each of the others must be refused with a reason."""
    tags = [tag for way in CODES for tag in kinds(way)]
    checked = check_tags(tags, sheet, printing)
    assert all(fault.sentence.endswith(".") for fault in checked.faults)
    assert len(checked.fitting) + len({fault.sentence for fault in checked.faults}) >= 10
    return [tag for tag in tags if tag in checked.fitting][: sheet.per_page]


@BY_NAME
@BY_DPI
def test_every_kind_that_fits_a_sheet_is_read(sheet: Sheet, dpi: int) -> None:
    """At the printer's own dots; labels that the plain bars go on are never without them."""
    printing = Printing(dpi)
    tags = fitting(sheet, printing)
    flat = [tag for tag in tags if isinstance(tag, TagText) and tag.shape == Shape.FLAT]
    assert {tag.way for tag in flat} >= {"code128", "qr"}
    page = picture(draw_tags(tags, sheet, printing), 1, dpi)
    frames = sheet.frames_on_page(1, len(tags))
    found = {
        tag: decode(cut_out(page, frame, dpi), tag.content().way)
        for tag, frame in zip(tags, frames, strict=True)
    }
    assert found == {tag: CODES[tag.content().way] for tag in tags}


@BY_NAME
@BY_DPI
def test_every_kind_is_read_blurred_and_tilted(sheet: Sheet, dpi: int) -> None:
    """As a phone sees it: twice the printer's dots, soft edges, a degree or two askew."""
    tags = fitting(sheet, Printing(dpi))
    page = picture(draw_tags(tags, sheet, Printing(dpi)), 1, 2 * dpi)
    frames = sheet.frames_on_page(1, len(tags))
    for tag, frame, angle in zip(tags, frames, cycle(ANGLES), strict=False):
        way = tag.content().way
        assert decode(askew(cut_out(page, frame, 2 * dpi), angle), way) == CODES[way], tag


@pytest.mark.parametrize("sheet", [*KNOWN_SHEETS, TALL], ids=lambda sheet: sheet.name)
@BY_DPI
def test_nothing_on_any_kind_lies_over_anything_else(sheet: Sheet, dpi: int) -> None:
    """Holes, folds, marks and both faces included; blanks stay on the label."""
    printing = Printing(dpi, margin=0)
    space = space_on(sheet, printing)
    for tag in fitting(sheet, printing):
        layout = lay_out(tag, space)
        assert isinstance(layout, Layout)
        boxes = pieces(layout)
        for number, box in enumerate(boxes):
            assert box.within(Box(0, 0, space.width, space.height), slack=0.5), tag
            assert not any(box.overlaps(other) for other in boxes[number + 1 :]), tag


@pytest.mark.parametrize(("way", "shape"), list(product(CODES, Shape)))
def test_high_labels_take_every_shape(way: str, shape: Shape) -> None:
    """A roll of 50 × 90 mm: the hole at the top, the fold across, and the bars are read."""
    sheet = Sheet.single(50_000, 90_000)
    tag = TagText("Tumbler", "$34.00", CODES[way], "ash", studio=STUDIO, way=way, shape=shape)
    page = picture(draw_tags([tag], sheet, Printing(203, margin=0)), 1, 203)
    assert decode(page, way) == CODES[way]


def test_a_folded_tag_has_both_faces_the_right_way_up() -> None:
    """Folded across, the upper face stands on its head on the flat sheet; the lower doesn't."""
    sheet = Sheet.single(50_000, 90_000)
    tag = TagText("Tumbler", "$34.00", "TUM-CEL", "ash", studio=STUDIO, shape=Shape.FOLD)
    layout = lay_out(tag, space_on(sheet, Printing(203, margin=0)))
    assert isinstance(layout, Layout)
    assert layout.turned is not None
    assert layout.turned.bars is not None
    assert {text.text for text in layout.texts} == {"Tumbler", "ash", "$34.00"}
    assert all(text.y < 45 / 25.4 * 72 for text in layout.texts)


def test_a_hole_lies_clear_of_the_edge() -> None:
    """Three millimetres of paper stay about a hole of four."""
    tag = TagText("Tumbler", "$34.00", "TUM-CEL", shape=Shape.HANG)
    layout = lay_out(tag, space_on(KNOWN_SHEETS[0], Printing()))
    assert isinstance(layout, Layout)
    assert layout.hole is not None
    assert (layout.hole.x - layout.hole.radius) * 25.4 / 72 == pytest.approx(3)


def test_tags_without_a_price_say_whom_or_how_many() -> None:
    """A reward tag and a slip for a kiln shelf carry no bars and no price."""
    tags = [
        RewardText("Berry bowl", "Promise 12", finish="ash", studio=STUDIO),
        SlipText("Tumbler, celadon", "14", "Firing 12, cone 6, front loader"),
    ]
    space = space_on(KNOWN_SHEETS[0], Printing())
    for tag, large in zip(tags, ("for Promise 12", "× 14"), strict=True):
        layout = lay_out(tag, space)
        assert isinstance(layout, Layout)
        assert layout.bars is None
        assert [text.text for text in layout.texts if text.part == "large"] == [large]


def test_the_mark_stands_for_the_name_and_is_stored_once() -> None:
    """Thirty tags with a mark are little larger than one; without room the name stands in."""
    sheet = KNOWN_SHEETS[0]
    tags = [
        TagText("Tumbler", f"${number}.00", "TUM-CEL", studio=STUDIO, picture=mark())
        for number in range(30)
    ]
    assert len(draw_tags(tags, sheet)) < len(draw_tags(tags[:1], sheet)) + 40_000
    layout = lay_out(tags[0], space_on(sheet, Printing()))
    assert isinstance(layout, Layout)
    assert layout.picture is not None
    assert not any(text.part == "maker" for text in layout.texts)
    small = check_tags(tags[:1], KNOWN_SHEETS[2], Printing())
    assert "The studio's mark is left out of 1 tag" in small.notes[-1]


def test_squares_and_bars_stay_on_whole_dots_with_a_nudge_and_a_start() -> None:
    """Wherever the label lies."""
    sheet, printing = KNOWN_SHEETS[4], Printing(203, Nudge(370, -410))
    for way in CODES:
        tags = kinds(way)[:1]
        page = picture(draw_tags(tags, sheet, printing, start=8), 1, 203)
        frame = sheet.frame(8, printing.nudge)
        assert decode(cut_out(page, frame, 203), way) == CODES[way]


words = st.text("abcdefgjÉŞ $19,.-", max_size=24)


@settings(max_examples=150)
@given(
    st.builds(
        TagText, words, words, st.sampled_from(["TUM-CEL", "B-7", "LIDDED-1", "5012345678900"]),
        words, st.sampled_from(["", "Second"]), st.sampled_from(["", "Not for food use"]), words,
        words, st.sampled_from(["code128", "qr", "number"]), st.sampled_from(Shape),
    ),
    st.sampled_from([*KNOWN_SHEETS, TALL]),
)  # fmt: skip
def test_any_words_on_any_kind_fit_or_are_told(tag: TagText, sheet: Sheet) -> None:
    """Nothing is printed over something else, and nothing is refused without a sentence."""
    space = space_on(sheet, Printing())
    done = lay_out(tag, space)
    if not isinstance(done, Layout):
        assert all(fault.sentence.strip().endswith(".") for fault in done)
        return
    boxes = pieces(done)
    for number, box in enumerate(boxes):
        assert box.within(Box(0, 0, space.width, space.height), slack=0.5)
        assert not any(box.overlaps(other) for other in boxes[number + 1 :])


def test_a_number_of_twelve_digits_is_read_as_one_of_thirteen() -> None:
    """UPC-A is EAN-13 with a zero before it (GS1 General Specifications), in the same bars."""
    tag = TagText("Tumbler", "$34.00", "0416000336108", way="number")
    sheet = KNOWN_SHEETS[4]
    page = picture(draw_tags([tag], sheet, Printing(300)), 1, 300)
    assert decode(cut_out(page, sheet.frame(1), 300), "number") == "0416000336108"
    layout = lay_out(tag, space_on(sheet, Printing(300)))
    assert isinstance(layout, Layout)
    assert [text.text for text in layout.texts if text.part == "code"] == ["416000336108"]
