"""Tags on labels of any size: everything in its place, or a sentence why not."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.labels.reading import STUDIO, TAGS, Box, pieces, printed
from vendor.labels.fitting import LEGIBLE
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.layouts import lay_out
from vendor.labels.lengths import mm, points
from vendor.labels.placing import Fault, Layout, Printing, Space, space_on
from vendor.labels.sheets import Nudge, Sheet
from vendor.labels.tags import NOT_FOR_FOOD, RewardText, Tag, TagText

SMALL = next(sheet for sheet in KNOWN_SHEETS if sheet.per_page == 65)
LOW = next(sheet for sheet in KNOWN_SHEETS if sheet.per_page == 80)
words = st.text("abcdefgjÉŞ $19,.-", max_size=30)


def faults_of(tag: Tag, sheet: Sheet) -> tuple[Fault, ...]:
    done = lay_out(tag, space_on(sheet, Printing()))
    assert not isinstance(done, Layout)
    return done


def assert_in_place(layout: Layout, space: Space) -> None:
    """Nothing lies over anything else, nor outside the insets; blanks stay on the label."""
    boxes = pieces(layout)
    for number, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[number + 1 :])
    label = Box(0, 0, space.width, space.height)
    inner = Box(space.left, space.bottom, space.width - space.right, space.height - space.top)
    for box in boxes[: len(boxes) - bool(layout.bars)]:
        assert box.within(inner, slack=0.05)
    if layout.bars:
        assert boxes[-1].within(label)
        assert layout.bars.height >= layout.bars.bars.least_height - 1e-9


@pytest.mark.parametrize("resolution", [203, 300, 600])
@pytest.mark.parametrize("sheet", KNOWN_SHEETS, ids=lambda sheet: sheet.name)
def test_tags_fit_every_known_sheet(sheet: Sheet, resolution: int) -> None:
    """All parts in place, the large text the largest, the code under its bars."""
    printing = Printing(resolution)
    space = space_on(sheet, printing)
    layouts = printed(TAGS, sheet, printing)
    assert list(layouts) == list(TAGS)
    for tag, layout in layouts.items():
        content = tag.content()
        assert_in_place(layout, space)
        assert min(text.size for text in layout.texts) >= LEGIBLE
        others = [text.size for text in layout.texts if text.part != "large"]
        assert layout.size_of("large") > max(others)
        assert layout.size_of("name") >= layout.size_of("detail")
        shown = " ".join(text.text for text in layout.texts)
        assert content.caution in shown
        assert content.mark in shown
        assert layout.bars is not None
        assert layout.bars.bars.code == content.code
        code = next(text for text in layout.texts if text.part == "code")
        assert code.text == content.code
        assert layout.bars.x <= code.x + 0.01
        assert code.x + code.width <= layout.bars.x + layout.bars.bars.length + 0.01
        assert code.y < layout.bars.y


def test_only_the_studios_name_is_left_out_where_there_is_no_room() -> None:
    """On labels of half an inch; what is left out is told."""
    for sheet in KNOWN_SHEETS:
        for layout in printed(TAGS, sheet, Printing()).values():
            assert layout.left_out in ((), ("maker",))
            if sheet.label_height > LOW.label_height:
                assert layout.left_out == ()


def test_a_reward_tag_says_whom_it_is_for_and_no_price() -> None:
    """Large, as the price would be; bars only where the promise has a code."""
    space = space_on(KNOWN_SHEETS[0], Printing())
    layout = lay_out(RewardText("Berry bowl", "Inés", finish="ash"), space)
    assert isinstance(layout, Layout)
    assert layout.bars is None
    assert [text.text for text in layout.texts if text.part == "large"] == ["for Inés"]
    assert_in_place(layout, space)


def test_a_text_too_long_for_its_label_is_named_with_the_label() -> None:
    """The sentence names the text, the label and what to do."""
    long = "Lidded casserole with a thumbprint by each lug, a wren for a knob, and a trivet " * 2
    long = long.strip()
    (fault,) = faults_of(TagText(long, "$240.00", "CAS-TEN", "tenmoku"), SMALL)
    assert fault.part == "name"
    assert fault.text == long
    assert long in fault.sentence
    assert "38.1 × 21.2 mm label" in fault.sentence
    assert fault.tag == f"{long} · CAS-TEN"


def test_a_price_too_long_is_told_and_not_cut() -> None:
    """A price never wraps."""
    (fault,) = faults_of(TagText("Tumbler", "$48.00 " * 12, "TUM-CEL"), SMALL)
    assert fault.part == "large"


def test_letters_that_cannot_be_printed_are_told_part_by_part() -> None:
    """All of them at once, and each by its part."""
    faults = faults_of(TagText("Shino 志野", "¤48", "TUM-CEL", "🏺"), KNOWN_SHEETS[0])
    assert [fault.part for fault in faults] == ["name", "detail"]
    assert "the typeface has no 志 野" in faults[0].sentence


@pytest.mark.parametrize("code", ["TUM CÉL", "TUMBLER-CELADON-FIRST-0001"])
def test_a_code_that_does_not_go_in_bars_is_told(code: str) -> None:
    """For its letters or its length."""
    (fault,) = faults_of(TagText("Tumbler", "$48", code), SMALL)
    assert fault.part == "code"
    assert code in fault.sentence


def test_a_tag_without_a_name_or_price_is_told() -> None:
    """A price alone says nothing about the piece, and a price tag without a price is none."""
    (fault,) = faults_of(TagText(" ", "$48", "TUM-CEL"), SMALL)
    assert "The tag TUM-CEL has no name" in fault.sentence
    (fault,) = faults_of(TagText("Tumbler", "", "TUM-CEL"), SMALL)
    assert "The tag Tumbler · TUM-CEL has no price" in fault.sentence
    (fault,) = faults_of(RewardText("Berry bowl", " "), SMALL)
    assert fault.part == "large"


def test_a_label_too_small_for_any_tag_is_told() -> None:
    """How high its bars must be, and the room that there is."""
    tiny = Sheet.single(mm(60), mm(12))
    (fault,) = faults_of(TagText("Tumbler", "$48", "TUM-CEL"), tiny)
    assert (
        "must be 6.4 mm high to be read, and above the code there is room for 2 mm"
        in fault.sentence
    )


def test_insets_keep_clear_of_the_edge_the_printer_cannot_reach() -> None:
    """Where labels begin at the paper's edge, all labels of the sheet keep the same insets."""
    edge = next(sheet for sheet in KNOWN_SHEETS if sheet.left == sheet.top == 0)
    space = space_on(edge, Printing(margin=mm("4.2")))
    assert space.left == space.right == space.top == pytest.approx(points(mm("4.2")))
    nudged = space_on(edge, Printing(nudge=Nudge(-mm(1), 0)))
    assert nudged.left == pytest.approx(points(mm("5.2")))
    assert nudged.right == pytest.approx(points(mm("3.2")))


@settings(max_examples=60)
@given(
    ware=words,
    price=words.map(lambda text: text + "$9"),
    finish=words,
    mark=words,
    caution=st.sampled_from(["", NOT_FOR_FOOD]),
    code=st.sampled_from(["", "TUM-CEL", "P-0042", "LONGER-CODE-17"]),
    size=st.tuples(st.integers(20_000, 110_000), st.integers(8_000, 60_000)),
    resolution=st.sampled_from([203, 300, 600]),
)
@example("1", "$9", "", "1", NOT_FOR_FOOD, "", (20_000, 9_155), 203)  # the mark's frame stood out
def test_any_tag_is_printed_whole_in_its_place_or_told(
    ware: str,
    price: str,
    finish: str,
    mark: str,
    caution: str,
    code: str,
    size: tuple[int, int],
    resolution: int,
) -> None:
    """Whatever is asked for, on whatever label: no overprint, nothing lost, or a sentence."""
    tag = TagText(ware, price, code, finish, mark, caution, STUDIO)
    space = space_on(Sheet.single(*size), Printing(resolution, margin=mm(1)))
    done = lay_out(tag, space)
    if not isinstance(done, Layout):
        assert done
        assert all(fault.sentence.endswith(".") for fault in done)
        return
    assert_in_place(done, space)
    shown = "".join(text.text for text in done.texts).replace(" ", "")
    for part, text in tag.content().texts():
        if part not in done.left_out:
            assert all(word in shown for word in text.split())
