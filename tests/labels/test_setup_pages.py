"""Sheets, printers, what tags carry and article numbers, as the potter sets them."""

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from tests.labels.reading import outlines
from tests.labels.shop import at, filled, priced
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.lengths import mm
from vendor.labels.models import ArticleNumber, LabelPrinter, LabelSheet, PrintRun, TagDress
from vendor.labels.scale import Scale

pytestmark = pytest.mark.django_db
A4_SHEET = {
    "unit": "mm", "note": "", "paper": "A4", "columns": 3, "rows": 7, "label_width": "63.5",
    "label_height": "38,1", "left": "7.21", "top": "15.15", "step_across": "66.04",
    "step_down": "38.1", "corner_radius": "1.5",
}  # fmt: skip

TRUE_LINES = {"measured_across": "100", "measured_down": "100"}


def sheet(pages: Client, **more: Any) -> str:
    """Send a new sheet; return the page, or nothing where it was saved."""
    answer = pages.post(at("new_sheet"), {**A4_SHEET, **more})
    return "" if answer.status_code == 302 else answer.content.decode()


def test_a_dozen_common_sheets_are_there_from_the_start() -> None:
    """And one printer for sheets, one for rolls."""
    assert [row.sheet for row in LabelSheet.objects.all()] == list(KNOWN_SHEETS)
    assert [row.resolution for row in LabelPrinter.objects.all()] == [300, 203]


def test_a_sheet_is_kept_as_it_was_measured(pages: Client) -> None:
    """To the micrometre, with a comma or a point."""
    assert sheet(pages, note="from the village shop") == ""
    kept = LabelSheet.objects.latest("pk")
    assert kept.sheet == KNOWN_SHEETS[4]
    assert kept.name == "21 on A4, 63.5 × 38.1 mm, from the village shop"


@pytest.mark.parametrize("row", KNOWN_SHEETS, ids=lambda row: row.name)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_the_page_shows_is_what_it_keeps(pages: Client, row: Any, unit: str) -> None:
    """A sheet that is opened and saved unchanged stays the same to the micrometre."""
    kept = LabelSheet.objects.get(pk=KNOWN_SHEETS.index(row) + LabelSheet.objects.all()[0].pk)
    studio = pages.get(at("sheet", kept.pk)).wsgi_request.studio  # type: ignore[attr-defined]
    studio.units = "in" if unit == "in" else "cm"
    studio.save()
    form = pages.get(at("sheet", kept.pk)).context["form"]
    shown = {field.name: field.value() for field in form if field.value() not in (None, False)}
    assert pages.post(at("sheet", kept.pk), shown).status_code == 302
    kept.refresh_from_db()
    assert kept.sheet == row


def test_a_sheet_in_inches_and_a_roll(pages: Client) -> None:
    """Fractions as on a ruler; a roll has only the label's size."""
    inch = {"unit": "in", "paper": "Letter", "columns": 3, "rows": 10, "label_width": "2 5/8",
            "label_height": "1", "left": "3/16", "top": "0.5", "step_across": "2 3/4",
            "step_down": "1", "corner_radius": "0"}  # fmt: skip
    assert sheet(pages, **inch) == ""
    assert LabelSheet.objects.latest("pk").sheet.name == "30 on Letter, 2 5/8 × 1 in"
    roll = {"unit": "mm", "paper": "roll", "label_width": "50", "label_height": "30",
            "corner_radius": "0"}  # fmt: skip
    assert pages.post(at("new_sheet"), roll).status_code == 302
    assert LabelSheet.objects.latest("pk").sheet.name == "One at a time, 50 × 30 mm"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"step_across": "60"}, "The columns overlap by 3.5 mm"),
        ({"rows": "9"}, "over the bottom edge of the paper"),
        ({"left": "-1"}, "1 mm over the left edge of the paper"),
        ({"columns": "0"}, "This has to be 1 at least."),
        ({"columns": "1000", "rows": "1000"}, "labels on one sheet: the most"),
        ({"label_width": "wide"}, "“wide” can&#x27;t be read as a length"),
        ({"label_width": "1/2"}, "“1/2” can&#x27;t be read as a length"),
        ({"corner_radius": "30"}, "more than half of the label&#x27;s shorter side"),
        ({"paper": "other"}, "needs both its measures"),
        ({"label_height": "0"}, "both sides must be more than 0"),
        ({"left": "99999"}, "over the right edge"),
    ],
)
def test_a_sheet_that_cannot_be_is_told_and_kept_on_the_page(
    pages: Client, wrong: dict[str, str], told: str
) -> None:
    """Each fault with its sentence; what was typed stays."""
    before = LabelSheet.objects.count()
    page = sheet(pages, **wrong)
    assert told in page
    assert LabelSheet.objects.count() == before
    assert 'value="15.15"' in page


def test_a_printers_nudge_moves_the_test_print(pages: Client) -> None:
    """Two millimetres right, one and a half up: every edge on the paper moves so."""
    printer = LabelPrinter.objects.all()[0]
    row = LabelSheet.objects.all()[4]
    still = outlines(pages.get(at("proof", row.pk, printer.pk)).content, 1)
    said = {"unit": "mm", "name": "Desk", "resolution": 600, "margin": "4",
            "nudge_right": "2", "nudge_down": "-1.5", **TRUE_LINES}  # fmt: skip
    assert pages.post(at("printer", printer.pk), said).status_code == 302
    moved = outlines(pages.get(at("proof", row.pk, printer.pk)).content, 1)
    assert moved[0].left - still[0].left == pytest.approx(2, abs=0.01)
    assert moved[0].top - still[0].top == pytest.approx(1.5, abs=0.01)
    printer.refresh_from_db()
    assert (printer.resolution, printer.margin) == (600, mm(4))


@pytest.mark.parametrize(
    ("unit", "across", "down"), [("mm", "99.2", "100,4"), ("in", "3.97", "4.02")]
)
def test_what_the_lines_of_the_test_print_measure_is_kept(
    pages: Client, unit: str, across: str, down: str
) -> None:
    """It is shown again as it was typed, and every label is put where it makes up for it."""
    printer = LabelPrinter.objects.all()[0]
    address = f"{at('printer', printer.pk)}?unit={unit}"
    form = pages.get(address).context["form"]
    shown = {field.name: field.value() for field in form if field.value() not in (None, False)}
    assert shown["measured_across"] == shown["measured_down"] == ("100" if unit == "mm" else "4")
    said = {**shown, "measured_across": across, "measured_down": down}
    assert pages.post(address, said).status_code == 302
    form = pages.get(address).context["form"]
    assert form["measured_across"].value() == across
    assert form["measured_down"].value() == down.replace(",", ".")
    printer.refresh_from_db()
    told = (992_000, 1_004_000) if unit == "mm" else (992_500, 1_005_000)
    assert (printer.scale_across_ppm, printer.scale_down_ppm) == told
    assert printer.printing.scale == Scale(*told)


def test_a_test_print_that_was_fitted_to_the_page_is_not_made_up_for(pages: Client) -> None:
    """94 mm for 100 is no fault of the printer; what was typed stays on the page."""
    printer = LabelPrinter.objects.all()[0]
    said = {"unit": "mm", "name": "Desk", "resolution": 300, "margin": "4", "nudge_right": "0",
            "nudge_down": "0", "measured_across": "94", "measured_down": "94.2"}  # fmt: skip
    page = pages.post(at("printer", printer.pk), said).content.decode()
    assert "94 mm for 100 mm across is more than a printer errs" in page
    assert "Choose “actual size” or 100 %" in page
    assert 'value="94.2"' in page
    printer.refresh_from_db()
    assert printer.scale_across_ppm == 1_000_000


def test_a_printer_that_cannot_be_is_refused(pages: Client) -> None:
    """A nudge of centimetres, a blank edge below zero, the name of another."""
    printer = LabelPrinter.objects.all()[0]
    said = {"unit": "mm", "name": "Label printer", "resolution": 300, "margin": "4",
            "nudge_right": "0", "nudge_down": "0", **TRUE_LINES}  # fmt: skip
    answer = pages.post(at("printer", printer.pk), said).content.decode()
    assert "Another printer is called that already." in answer
    answer = pages.post(at("new_printer"), {**said, "name": "x", "nudge_right": "25"})
    assert "measure the sheet again" in answer.content.decode()
    answer = pages.post(at("new_printer"), {**said, "name": "x", "margin": "-3"})
    assert "is not from 0 to 20 mm" in answer.content.decode()


def png(size: tuple[int, int] = (300, 200)) -> bytes:
    target = BytesIO()
    Image.new("RGB", size, "white").save(target, "PNG")
    return target.getvalue()


def dressed(pages: Client, data: bytes, name: str = "mark.png") -> str:
    """Send a mark; return the page, or nothing where it was saved."""
    sent = {"maker": "mark", "care": "", "symbol": "code128"}
    answer = pages.post(at("settings"), {**sent, "picture": SimpleUploadedFile(name, data)})
    return "" if answer.status_code == 302 else answer.content.decode()


def test_a_mark_is_checked_made_small_and_printed(pages: Client) -> None:
    """A PNG of any size becomes one in grey of at most 1,200 pixels."""
    assert dressed(pages, png((3000, 2000))) == ""
    with Image.open(BytesIO(pages.get(at("mark")).content)) as kept:
        assert (kept.format, kept.size, kept.mode) == ("PNG", (1200, 800), "L")
    ware = priced()
    pages.post(at("index"), filled({f"w{ware.pk}": 2}))
    assert b"/Image" in pages.get(at("run_pdf", PrintRun.objects.get().pk)).content


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"<svg onload='x'/>", "not a picture that can be read"),
        (b"\x89PNG\r\n\x1a\n broken", "not a picture that can be read"),
        (png()[:90], "not a picture that can be read"),
        (b"x" * (2 * 1024 * 1024 + 1), "larger than 2 MB"),
        (png((6000, 6000)), "too many pixels"),
    ],
)
def test_a_picture_that_is_none_is_refused(pages: Client, data: bytes, told: str) -> None:
    """Whatever its name says."""
    assert told in dressed(pages, data)
    assert not TagDress.objects.exclude(mark=None).exists()


def test_a_mark_that_was_never_given_is_asked_for(pages: Client) -> None:
    """Choosing the mark without one doesn't print blank tags."""
    sent = {"maker": "mark", "care": "", "symbol": "code128"}
    answer = pages.post(at("settings"), sent).content.decode()
    assert "Choose the picture of your mark" in answer


def test_article_numbers_are_checked_and_unique(pages: Client) -> None:
    """A wrong check digit stays on the page; a number that other ware has is refused by name."""
    tumbler, bowl = priced(), priced("Bowl", "ash")
    answer = pages.post(at("numbers"), {f"w{tumbler.pk}": "6291041500214"}).content.decode()
    assert "would be 3, not 4" in answer
    assert 'value="6291041500214"' in answer
    assert pages.post(at("numbers"), {f"w{tumbler.pk}": "6291041500213"}).status_code == 302
    both = {f"w{tumbler.pk}": "6291041500213", f"w{bowl.pk}": "629 1041500213"}
    assert "has the number 6291041500213 already" in pages.post(
        at("numbers"), both
    ).content.decode().replace("\xa0", " ")
    assert ArticleNumber.objects.count() == 1
    pages.post(at("numbers"), {f"w{bowl.pk}": "6291041500213"})
    assert ArticleNumber.objects.get().ware == bowl


def test_numbers_of_ones_own_range_go_on(pages: Client) -> None:
    """Those without get the next; those with keep theirs."""
    priced()
    pages.post(at("numbers"), {"all": "1"})
    bowl = priced("Bowl", "ash")
    pages.post(at("numbers"), {"all": "1"})
    assert ArticleNumber.objects.get(ware=bowl).number == "0400000000022"


def test_ware_without_an_article_number_is_named(pages: Client) -> None:
    """Nothing is printed with empty bars."""
    ware = priced()
    answer = pages.post(at("index"), filled({f"w{ware.pk}": 1}, symbol="number"))
    assert "There is no article number for: Tumbler, celadon." in answer.content.decode()
