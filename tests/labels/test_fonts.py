"""The typeface: what it can print, and what it must not pretend to."""

import iso4217
import pytest

from vendor.house.models import Studio
from vendor.labels.fonts import Face, cleaned, ink_above, ink_below, missing_glyphs, width_in_ems
from vendor.labels.job import printable_money

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


@pytest.mark.parametrize("language", ["en", "de", "es", "fr", "pl", "pt", "tr", "vi"])
def test_a_price_in_every_currency_can_be_printed(language: str) -> None:
    """By its sign, or by its letters where the typeface lacks the sign."""
    for each in iso4217.Currency:
        if each.exponent is not None:
            studio = Studio(currency=each.code.upper(), language=language)
            assert missing_glyphs(printable_money(3400, studio)) == "", each
    assert printable_money(3400, Studio(currency="ILS", language="en")) == "ILS 34.00"


def test_a_character_that_is_not_in_the_typeface_is_named_once() -> None:
    """In the order of the text, whichever weight lacks it."""
    assert missing_glyphs("志野 shino 志野") == "志野"
    assert missing_glyphs("🏺") == "🏺"


def test_a_mark_that_stays_apart_from_its_letter_counts_as_missing() -> None:
    """An x with an acute is no single letter, and would be printed with the accent beside it."""
    assert missing_glyphs("e\u0301") == ""
    assert missing_glyphs("x\u0301") == "\u0301"


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
