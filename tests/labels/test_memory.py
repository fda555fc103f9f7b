"""However many tags are printed, the memory that it takes is the same."""

import gc
import tracemalloc
import weakref
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from itertools import cycle, islice
from tempfile import TemporaryFile

import pytest
from pypdf import PdfReader

from tests.labels.reading import TAGS, words
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.layouts import lay_out
from vendor.labels.lengths import mm
from vendor.labels.pdf import draw_tags, write_tags
from vendor.labels.placing import Space
from vendor.labels.sheets import Sheet
from vendor.labels.tags import Tag, TagText

THIRTY = KNOWN_SHEETS[0]
ROLL = Sheet.single(mm(60), mm(40))
BYTES_A_TAG, BYTES_A_PAGE = 2, 20
"""The floor: which tag stands on which label; and of each page of a PDF its number in the list of
pages (4 bytes), and where it and its contents begin (8 each), which the table at the file's end
needs."""

SLACK = 40_000
"""For what Python has let go and not cleared away yet; less than five bytes a tag."""


def some(count: int, way: str) -> Iterator[Tag]:
    """Give so many tags, six of them distinct."""
    tags = [replace(tag, way=way) if isinstance(tag, TagText) else tag for tag in TAGS]
    return islice(cycle(tags), count)


def peak(count: int, way: str, sheet: Sheet) -> int:
    """Return the most bytes that Python held while so many tags were written to a file."""
    gc.collect()
    with TemporaryFile() as target:
        tracemalloc.start()
        write_tags(some(count, way), sheet, target=target)
        held = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    return held


@pytest.mark.parametrize(
    ("sheet", "way", "few", "many"),
    [
        (THIRTY, "code128", 1_000, 9_000),
        (THIRTY, "qr", 1_000, 9_000),
        (ROLL, "code128", 500, 4_500),
    ],
    ids=["bars", "squares", "a page a tag"],
)
def test_nine_times_the_tags_take_no_more_memory(
    sheet: Sheet, way: str, few: int, many: int
) -> None:
    """Beyond the floor: what a growing list has ready, and the steps in which it is written."""
    peak(100, way, sheet)  # what is remembered from one print to the next is there now
    grown = peak(many, way, sheet) - peak(few, way, sheet)
    pages = sheet.pages_for(many) - sheet.pages_for(few)
    assert grown < 2 * ((many - few) * BYTES_A_TAG + pages * BYTES_A_PAGE) + SLACK


def test_distinct_tags_are_not_kept_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many there are, those of one page at most are there at a time."""
    living: set[int] = set()
    most = 0

    def laid_out(tag: Tag, space: Space) -> object:
        nonlocal most
        done = lay_out(tag, space)
        living.add(id(done))
        weakref.finalize(done, living.discard, id(done))
        most = max(most, len(living))
        return done

    monkeypatch.setattr("vendor.labels.pdf.lay_out", laid_out)
    draw_tags([TagText(f"Jar {n}", f"${n}.00", f"C-{n}") for n in range(1, 200)], THIRTY)
    assert 1 <= most <= THIRTY.per_page


def test_the_file_is_whole_however_it_is_written() -> None:
    """Every page in its order, every form found, the table at its end right; over many pages."""
    tags = [TagText(f"Jar {number}", "$9", f"J{number}") for number in (1, 2, 3)]
    data = draw_tags(islice(cycle(tags), 2_000), Sheet.single(mm(50), mm(30)))
    reader = PdfReader(BytesIO(data), strict=True)
    assert len(reader.pages) == 2_000
    for page in (0, 1, 2, 1_000, 1_999):
        assert f"Jar {page % 3 + 1}" in reader.pages[page].extract_text()
    assert words(data).count("Jar 2") == 667
    assert data.rstrip().endswith(b"%%EOF")
