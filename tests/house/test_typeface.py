"""The typeface: what it can print, and what it must not pretend to."""

import re
import unicodedata
from functools import cache
from io import BytesIO

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
from babel import Locale, localedata
from babel.core import get_global
from reportlab.pdfgen.canvas import Canvas

from vendor.house.typeface import (
    SAME_HEIGHT,
    Face,
    Second,
    cleaned,
    draw_text,
    ink_above,
    ink_below,
    missing_glyphs,
    spans,
    width_in_ems,
)

WANTED = "é ñ ł ő š ğ € £ ½ ″ × – ’"


def test_letters_of_many_languages_can_be_printed() -> None:
    """European letters, money, fractions and inches are all there in each weight."""
    assert missing_glyphs(WANTED) == ""


@pytest.mark.parametrize(
    ("language", "letters"),
    [
        ("Czech, Slovak", "áčďéěíĺľňóôŕřšťúůýžÁČĎÉĚÍĽŇÓŘŠŤÚŮÝŽ"),
        ("Polish", "ąćęłńóśźżĄĆĘŁŃÓŚŹŻ"),
        ("Hungarian", "áéíóöőúüűÁÉÍÓÖŐÚÜŰ"),
        ("Turkish, Azerbaijani", "çğıöşüəÇĞİÖŞÜƏ"),
        ("Romanian", "ăâîșțĂÂÎȘȚ"),
        ("Baltic", "āčēģīķļņšūžąęėįųõäöüĀĢĶĻŅŪ"),
        ("Croatian, Bosnian, Serbian", "čćđšžČĆĐŠŽ"),
        ("Maltese", "ċġħżĊĠĦŻ"),
        ("Nordic", "åäæøöðþÅÄÆØÖÐÞ"),
        ("French, Dutch, German", "àâæçéèêëîïôœùûüÿĳßẞ«»„“"),
        ("Spanish, Portuguese, Guarani", "¿¡ñáéíóúüãõçẽĩũỹ"),
        ("Welsh, Irish", "ŵŷâêîôûáéíóú"),
        ("Vietnamese", "ăâđêôơưắằẳẵặấầẩẫậếềểễệốồổỗộớờởỡợứừửữựỳỷỹỵĐƠƯ"),
        ("Igbo, Yoruba, Ewe, Akan", "ịọụṅẹṣɛɔŋƒɖɣ"),
        ("Māori, Hawaiian, Samoan, Uzbek", "āēīōūʻʼ"),
    ],
)
def test_whole_alphabets_can_be_printed(language: str, letters: str) -> None:
    """The letters beyond A to Z, from memory."""
    assert missing_glyphs(letters) == "", language


def test_a_character_that_is_not_in_the_typeface_is_named_once() -> None:
    """In the order of the text, whichever weight lacks it."""
    assert missing_glyphs("志野 shino 志野") == "志野"
    assert missing_glyphs("🏺") == "🏺"


def test_a_mark_that_stands_on_no_letter_counts_as_missing() -> None:
    """It would be printed beside something; on a letter of either typeface it sits."""
    assert missing_glyphs("e\u0301 x\u0301 \u0186\u0300") == ""
    assert missing_glyphs("\u0301kwacha, 5\u0301, 志\u0301") == "\u0301志"


@pytest.mark.parametrize(
    ("text", "clean"),
    [
        ("  Berry \n bowl ", "Berry bowl"),
        ("18,50\u00a0€", "18,50 €"),
        ("1\u202f240 €", "1 240 €"),
        ("cafe\u0301", "café"),
        ("\u200fjar\u00ad\u200b\x07", "jar"),
    ],
)
def test_text_is_cleaned_of_what_cannot_be_seen(text: str, clean: str) -> None:
    """No-break spaces of prices become plain, accents are composed, controls go."""
    assert cleaned(text) == clean


def test_ink_is_measured_above_and_below_the_baseline() -> None:
    """An accented capital rises higher than a plain one; a price's comma hangs."""
    face = Face.BOLD
    assert ink_above("Ő", face) > ink_above("O", face) > ink_above("x", face) > 0.4
    assert ink_below("$1,240", face) > ink_below("48", face) >= 0
    assert ink_above("", face) == ink_below("", face) == 0


def test_figures_are_all_of_one_width() -> None:
    """Prices below each other line up."""
    for face in Face:
        assert len({width_in_ems(figure, face) for figure in "0123456789"}) == 1


MARKED = {
    "Yoruba": "ẹ́ ẹ̀ ọ́ ọ̀ Ẹ́ Ọ̀ m̀ ń ǹ",
    "Ewe, Akan, Ga": "ɛ́ ɛ̀ ɛ̃ ɔ́ ɔ̀ ɔ̃ Ɔ̃ ŋ̀",
    "Lingala, Duala": "ɛ́ ɛ̂ ɛ̌ ɔ́ ɔ̂ ɔ̌ Ɛ́ Ɔ̌",
    "Guaraní": "g̃ G̃",
    "Igbo": "ị́ ị̀ ụ́ ụ̀ Ị́ m̄ n̄",
    "Lithuanian": "ė́ į̃ m̃ r̃ l̃ ū́ j̃",
    "Hausa": "r̃ R̃ ƙ ƴ Ƙ Ƴ",
    "Venda": "ḓ ḽ ṋ ṱ ṅ Ḓ Ḽ Ṋ Ṱ",
    "Marshallese": "m̧ n̄ o̧ M̧ O̧",
    "Dinka, Nuer": "ɛ̈ ɔ̈ a̱ e̱ ɛ̱",
    "Tlingit, Haida": "x̱ g̱ ḵ X̱ G̱",
    "Bafia, Ngomba": "ǝ́ ɨ̀ ʉ̂ ɛ̃̀",
    "Danish": "ǿ Ǿ ǽ",
}
"""Letters for which Unicode has no composed one, and others outside the first typeface; by
language, from memory."""


@pytest.mark.parametrize("language", MARKED)
def test_letters_with_marks_of_their_own_are_printed(language: str) -> None:
    """On small letters and capitals, in every weight."""
    assert missing_glyphs(MARKED[language]) == ""


def test_every_latin_letter_of_unicode_can_be_printed() -> None:
    """Unicode Character Database: all letters called LATIN, from ASCII to Latin Extended-C."""
    blocks = (*range(0x41, 0x2B0), *range(0x1E00, 0x1F00), *range(0x2C60, 0x2C80))
    letters = [chr(c) for c in blocks if unicodedata.name(chr(c), "").startswith("LATIN")]
    assert len(letters) > 800
    assert missing_glyphs(" ".join(letters)) == ""


def test_every_word_of_the_locales_in_latin_script_can_be_printed() -> None:
    """Unicode CLDR, as Babel holds it: the names of languages, countries, money, months and days.

    In a handful the published words have a mark before their first letter, or through one: a slip
    of the keys, which is told.
    """
    slip = re.compile(r"(^|\s)[\u0300-\u036f\u1dc0-\u1dff]|\u0335")
    locales, told = 0, []
    for locale in _in_latin_script():
        locales += 1
        words = {
            *locale.languages.values(), *locale.territories.values(), *locale.currencies.values(),
            *locale.months["format"]["wide"].values(), *locale.days["format"]["wide"].values(),
        }  # fmt: skip
        told += [each for each in sorted(words) if missing_glyphs(each)]
    assert locales > 200
    assert len(told) < 15
    assert all(slip.search(unicodedata.normalize("NFC", each)) for each in told)


def _in_latin_script() -> list[Locale]:
    """Return the languages that Babel knows and that are usually written in Latin letters."""
    likely = get_global("likely_subtags")
    found = []
    for name in localedata.locale_identifiers():
        locale = Locale.parse(name)
        full = likely.get(name) or likely.get(locale.language, "")
        script = locale.script or ("Latn" if "_Latn_" in full else "")
        if script == "Latn" and not locale.territory:
            found.append(locale)
    return found


def test_a_word_is_set_in_one_typeface() -> None:
    """The second is set smaller, so that its small letters are as high as the others."""
    first, second = spans("jar Ƙwarya", Face.REGULAR)
    assert (first.text, first.font) == ("jar ", Face.REGULAR)
    assert (second.text, second.font) == ("Ƙwarya", Second.REGULAR)
    assert second.scale == SAME_HEIGHT < first.scale
    height = 486 / 1000  # of an x in Source Sans Pro, as its tables say
    assert ink_above("ƞ", Face.REGULAR) == pytest.approx(height, abs=0.02)
    assert ink_above("n", Face.REGULAR) == pytest.approx(height, abs=0.02)
    assert [span.font for span in spans("Ƙ", Face.BOLD)] == [Second.BOLD]


def test_a_text_in_semibold_is_all_of_one_weight() -> None:
    """The second typeface has it in bold alone: so the words beside it are in bold too."""
    [name] = spans("Ƙwarya, tumbler", Face.SEMIBOLD)
    assert name.font == Second.BOLD
    assert [span.font for span in spans("Tumbler, ash", Face.SEMIBOLD)] == [Face.SEMIBOLD]


SIZE = 100
LEFT, UP = 50.0, 100.0


@cache
def dark(text: str, face: Face) -> npt.NDArray[np.bool_]:
    """Draw a text on a page, a dot to the point; give which dots are dark, from the lower edge."""
    target = BytesIO()
    canvas = Canvas(target, pagesize=(1000, 300), invariant=1)
    draw_text(canvas, LEFT, UP, text, face, SIZE)
    canvas.save()
    with pypdfium2.PdfDocument(target.getvalue()) as document:
        picture = document[0].render(scale=1, grayscale=True).to_numpy()
    return np.asarray(np.flipud(picture.reshape(picture.shape[:2])) < 128)


@pytest.mark.parametrize("face", [Face.REGULAR, Face.BOLD])
@pytest.mark.parametrize(
    "text", ["Tumbler", "Ƙwarya", "Ṱhoho ḽo", "ẹ́kọ̀", "G̃uaraní g̃", "Ọ̀ṣun ị́", "x̱éx", "Ǿ ɛ̃̀"]
)
def test_the_ink_is_where_it_is_said_to_be(text: str, face: Face) -> None:
    """From the pen's start to its end, as high and as low as is measured; within a hundredth em."""
    rows, columns = np.nonzero(dark(text, face))
    assert LEFT - 1 <= columns.min() <= LEFT + 12
    assert columns.max() <= LEFT + width_in_ems(text, face) * SIZE + 2
    assert columns.max() >= LEFT + width_in_ems(text, face) * SIZE - 12
    assert rows.max() + 1 == pytest.approx(UP + ink_above(text, face) * SIZE, abs=1.5)
    assert rows.min() == pytest.approx(UP - ink_below(text, face) * SIZE, abs=1.5)


@pytest.mark.parametrize("letter", ["ẹ", "ọ", "g", "G", "ɛ", "Ɔ", "m", "ŋ", "ǝ", "ʉ"])
@pytest.mark.parametrize("mark", ["\u0301", "\u0300", "\u0303", "\u0302", "\u030c"])
def test_a_mark_stands_over_its_letter(letter: str, mark: str) -> None:
    """What it adds is over the middle of the letter and touches nothing."""
    text = cleaned(letter + mark)
    both = dark(text, Face.REGULAR)
    bare = ink_above(letter, Face.REGULAR) * SIZE
    letters = np.nonzero(both[: int(UP + bare)].any(axis=0))[0]
    marks = np.nonzero(both[int(UP + bare) + 2 :].any(axis=0))[0]
    assert len(marks) > 8
    middle = (letters.min() + letters.max()) / 2
    assert (marks.min() + marks.max()) / 2 == pytest.approx(middle, abs=13)
