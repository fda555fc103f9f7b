"""Sheets of labels: their names, their faults, and where each label lies."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.lengths import mm
from vendor.labels.sheets import PAPERS, Nudge, Sheet, SheetRefused, names_apart

THIRTY = KNOWN_SHEETS[0]


def test_a_sheet_is_named_by_its_number_and_dimensions() -> None:
    """Inches on Letter, millimetres on A4, and a roll by its label alone."""
    names = [sheet.name for sheet in KNOWN_SHEETS]
    assert names[0] == "30 on Letter, 2 5/8 × 1 in"
    assert "21 on A4, 63.5 × 38.1 mm" in names
    assert Sheet.single(mm(50), mm(30)).name == "One at a time, 50 × 30 mm"
    postcard = replace(THIRTY, paper_width=mm(148), paper_height=mm(105), columns=1, rows=2)
    assert postcard.name == "2 on 148 × 105 mm, 66.675 × 25.4 mm"


def test_sheets_of_one_nominal_size_are_told_apart_by_their_spacing() -> None:
    """Two sheets of 65 labels differ by a gap between the columns."""
    names = names_apart(KNOWN_SHEETS)
    assert len(set(names.values())) == len(names) == 12
    assert names[THIRTY] == THIRTY.name
    gapped, butted = (sheet for sheet in KNOWN_SHEETS if sheet.per_page == 65)
    assert "2.5 mm between columns" in names[gapped]
    assert "no gaps" in names[butted]


@pytest.mark.parametrize("sheet", KNOWN_SHEETS, ids=lambda sheet: sheet.name)
def test_known_sheets_have_no_faults(sheet: Sheet) -> None:
    """Each grid is on its paper, and no labels overlap."""
    assert sheet.faults() == ()


# left over at the right and bottom, from the same public sources as the sheets: [computed] there
@pytest.mark.parametrize(
    ("name", "right", "bottom"),
    [
        ("30 on Letter, 2 5/8 × 1 in", "4.763", "12.7"),
        ("24 on A4, 70 × 37.125 mm", "0", "0"),
        ("40 on A4, 52.5 × 29.7 mm", "0", "0"),
        ("14 on A4, 99.1 × 38.1 mm", "4.65", "15.15"),
        ("21 on A4, 63.5 × 38.1 mm", "7.21", "15.15"),
    ],
)
def test_the_last_label_leaves_the_published_margin(name: str, right: str, bottom: str) -> None:
    """Right and bottom margins agree with the tables to a fiftieth of a millimetre."""
    sheet = next(sheet for sheet in KNOWN_SHEETS if sheet.name == name)
    last = sheet.frame(sheet.per_page)
    assert abs(sheet.paper_width - last.right - mm(right)) <= 20
    assert abs(sheet.paper_height - last.bottom - mm(bottom)) <= 20


def test_every_fault_of_a_sheet_is_told_at_once() -> None:
    """Overlaps, edges and corners each get their own sentence."""
    bad = replace(
        THIRTY,
        left=mm(-1),
        step_across=mm(60),
        step_down=mm(30),
        corner_radius=mm(20),
    )
    told = " ".join(bad.faults())
    assert len(bad.faults()) == 4
    assert "columns overlap by 6.675 mm" in told
    assert "1 mm over the left edge" in told
    assert "over the bottom edge" in told
    assert "corner radius of 20 mm" in told


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"columns": 0}, "make no labels"),
        ({"rows": -3}, "make no labels"),
        ({"label_width": 0}, "The label is 0 × 25.4 mm"),
        ({"paper_height": -mm(1)}, "The paper is 215.9 × -1 mm"),
        ({"paper_width": mm(2159)}, "check the unit"),
        ({"rows": 1, "columns": 2_000}, "the most that can be laid out"),
        ({"left": mm(10)}, "over the right edge"),
        ({"top": mm(-3)}, "3 mm over the top edge"),
        ({"step_down": mm(25)}, "rows overlap by 0.4 mm"),
        ({"corner_radius": -1}, "less than 0"),
    ],
)
def test_a_wrong_number_is_told_in_words(change: dict[str, int], words: str) -> None:
    """Each kind of slip has a sentence that says what is wrong."""
    assert any(words in fault for fault in replace(THIRTY, **change).faults())


def test_one_column_needs_no_step() -> None:
    """A step that no label follows isn't a fault."""
    assert Sheet.single(mm(50), mm(30)).faults() == ()
    assert replace(Sheet.single(mm(50), mm(30)), step_across=0, step_down=0).faults() == ()


def test_labels_go_on_in_reading_order_and_from_a_start() -> None:
    """Used-up positions are skipped on the first sheet only."""
    first = THIRTY.frames_on_page(1, 35, start=29)
    assert [frame.position for frame in first] == [29, 30]
    assert (first[0].x, first[0].y) == (4_763 + 69_850, 12_700 + 9 * 25_400)
    assert len(THIRTY.frames_on_page(2, 35, start=29)) == 30
    assert [frame.position for frame in THIRTY.frames_on_page(3, 35, start=29)] == [1, 2, 3]
    assert THIRTY.frames_on_page(4, 35, start=29) == ()
    assert THIRTY.pages_for(35, 29) == 3
    assert THIRTY.pages_for(0) == 0


def test_a_nudge_moves_every_label_alike() -> None:
    """Right and down, by so many micrometres."""
    plain = THIRTY.frames_on_page(1, 30)
    moved = THIRTY.frames_on_page(1, 30, nudge=Nudge(1_200, -700))
    assert {(b.x - a.x, b.y - a.y) for a, b in zip(plain, moved, strict=True)} == {(1_200, -700)}


@pytest.mark.parametrize("start", [0, 31, -1])
def test_a_start_that_is_not_on_the_sheet_is_refused(start: int) -> None:
    """The sentence says which positions there are."""
    with pytest.raises(SheetRefused, match="from 1 to 30"):
        THIRTY.frames_on_page(1, 5, start)


def test_a_nudge_of_more_than_a_label_gap_is_told() -> None:
    """Over a centimetre isn't a nudge; the sheet's numbers are wrong."""
    assert Nudge(mm(10), -mm(10)).faults() == ()
    assert len(Nudge(mm(11), -mm(11)).faults()) == 2


@given(
    columns=st.integers(1, 9),
    rows=st.integers(1, 20),
    label=st.tuples(st.integers(5_000, 120_000), st.integers(5_000, 120_000)),
    first=st.tuples(st.integers(0, 20_000), st.integers(0, 20_000)),
    gap=st.tuples(st.integers(-2_000, 5_000), st.integers(-2_000, 5_000)),
)
def test_a_sheet_without_faults_keeps_labels_apart_and_on_the_paper(
    columns: int,
    rows: int,
    label: tuple[int, int],
    first: tuple[int, int],
    gap: tuple[int, int],
) -> None:
    """Whatever the numbers: no fault means no overlap and nothing over an edge, and the reverse."""
    width, height = label
    sheet = Sheet(
        *PAPERS["A4"], width, height, columns, rows, *first, width + gap[0], height + gap[1]
    )
    frames = sheet.frames_on_page(1, sheet.per_page)
    on_paper = all(
        frame.x >= 0
        and frame.y >= 0
        and frame.right <= sheet.paper_width
        and frame.bottom <= sheet.paper_height
        for frame in frames
    )
    apart = (columns == 1 or gap[0] >= 0) and (rows == 1 or gap[1] >= 0)
    assert (sheet.faults() == ()) == (on_paper and apart)
