"""Printed lists: every word is on the paper, in whatever Latin letters it is written."""

import unicodedata

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.house.models import Studio
from vendor.house.paper import Block, Column, Sheet, draw, printable

COLUMNS = (Column("Ware", 3), Column("Pieces", number=True))
STUDIO = Studio(name="Tansy Weir Pottery", units="cm")


def drawn(*names: str, title: str = "Packing list", rows: int = 1) -> list[str]:
    """Draw a list of pieces by name; return the text of each page as it is read back."""
    lines = [[name, "12"] for name in names] * rows
    sheet = Sheet(title, ["for the third weekend"], [Block("Tote 1", COLUMNS, lines, ["", "12"])])
    with pypdfium2.PdfDocument(draw(sheet, studio=STUDIO)) as document:
        return [page.get_textpage().get_text_bounded() for page in document]


def bare(text: str) -> str:
    """Leave out the marks over letters: a reader of the file finds them, but not in their place."""
    letters = unicodedata.normalize("NFD", text)
    return "".join(c for c in letters if not unicodedata.combining(c) and not c.isspace())


def test_names_in_letters_of_either_typeface_are_printed() -> None:
    """Hausa, Venda and Yoruba beside English, in the title too, and a foot on every page."""
    pages = drawn("Ƙwarya, shino", "Ṱhoho ya muḽovha", "Ẹ́kọ̀", title="Àkójọ Ẹ̀bùn", rows=40)
    assert len(pages) > 1
    for word in ("Ƙwarya, shino", "Ṱhoho ya muḽovha", "Ẹ́kọ̀"):
        assert bare(word) in bare(pages[0])
    for page in pages:
        assert f"of {len(pages)}" in page
    assert "Àkójọ" in pages[0]
    assert bare("Tansy Weir Pottery · Àkójọ Ẹ̀bùn") in bare(pages[1])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("志野 shino", "?? shino"),
        ("a\u00a0b\nc", "a b c"),
        ("cafe\u0301", "café"),
        ("\u0301kwacha", "?kwacha"),
        ("<b> & Ẹ́", "<b> & Ẹ́"),
    ],
)
def test_a_letter_that_no_typeface_has_is_a_question_mark(text: str, said: str) -> None:
    """Never an empty box; and what looks like a command to the page is plain text."""
    assert printable(text) == said
    assert bare(said) in bare(drawn(text)[0])


@given(st.lists(st.text("aẹ́ḽ √?<&>\n\u0303", max_size=30), min_size=1, max_size=4))
def test_any_words_can_be_printed(names: list[str]) -> None:
    """Marks, symbols and letters of both typefaces in one word too."""
    assert "Page 1 of" in drawn(*names)[0]
