"""Forms say what each field is, what was wrong and what was kept, to eyes and ears alike."""

from typing import Any

import pytest
from bs4 import BeautifulSoup
from django import forms
from django.template.loader import render_to_string
from django.test import RequestFactory

from vendor.house.widgets import CountInput, DayInput, TimeInput


class LoadForm(forms.Form):
    """A kiln load."""

    name = forms.CharField(label="Name", help_text="For your lists.")
    pieces = forms.IntegerField(label="Pieces", max_value=40, widget=CountInput)
    day = forms.DateField(label="Day", required=False, widget=DayInput)
    weight = forms.DecimalField(label="Weight", required=False, decimal_places=2)
    kind = forms.ChoiceField(
        label="Kind", choices=[("b", "Bisque"), ("g", "Glaze")], widget=forms.RadioSelect
    )
    watched = forms.BooleanField(label="Cones on every shelf", help_text="One on each.")
    load = forms.IntegerField(widget=forms.HiddenInput, required=False)


def shown(form: forms.Form, **context: Any) -> BeautifulSoup:
    request = RequestFactory().get("/")
    html = render_to_string("house/form.html", {"form": form, **context}, request=request)
    return BeautifulSoup(html, "html.parser")


@pytest.fixture
def refused() -> BeautifulSoup:
    """A form that was sent with mistakes."""
    form = LoadForm({"name": "Load <12>", "pieces": "51", "load": "7"})
    form.add_error(None, "The kiln holds 40 pieces.")
    return shown(form)


def test_every_field_has_its_label_and_help() -> None:
    """Linked by `for` and `aria-describedby`; required is said in words."""
    page = shown(LoadForm())
    label = page.select_one('label[for="id_name"]')
    assert label.get_text() == "Name (required)"
    field = page.select_one("#id_name")
    assert field["aria-describedby"] == "id_name_helptext"
    assert page.select_one("#id_name_helptext").get_text() == "For your lists."
    assert "(required)" not in page.select_one('label[for="id_day"]').get_text()
    assert page.select_one("fieldset#id_kind legend").get_text() == "Kind (required)"
    assert not page.select(".summary")


def test_the_summary_says_what_was_wrong_and_what_was_kept(refused: BeautifulSoup) -> None:
    """Each mistake leads to its field; nothing was changed; the answers stand."""
    summary = refused.select_one('.summary[role="alert"][tabindex="-1"]')
    assert "The kiln holds 40 pieces." in summary.get_text()
    assert "Nothing was changed. What you filled in is kept below." in summary.get_text()
    for link in summary.select("a"):
        assert refused.select_one(link["href"]) is not None
    assert {link["href"] for link in summary.select("a")} >= {"#id_pieces", "#id_watched"}
    assert refused.select_one("#id_name")["value"] == "Load <12>"


def test_a_mistake_stands_at_its_field_too(refused: BeautifulSoup) -> None:
    """The field is marked invalid and described by the sentence."""
    field = refused.select_one("#id_pieces")
    assert field["aria-invalid"] == "true"
    described = [refused.select_one(f"#{name}") for name in field["aria-describedby"].split()]
    assert all(described)
    assert "40" in " ".join(each.get_text() for each in described)
    assert refused.select_one(".field.bad #id_pieces") is not None
    assert refused.select_one(".field.bad #id_name") is None


def test_a_check_box_stands_before_its_words(refused: BeautifulSoup) -> None:
    """One row: the box, then its label; help and mistake below."""
    box = refused.select_one("#id_watched")
    assert box.find_next_sibling("label")["for"] == "id_watched"
    assert set(box["aria-describedby"].split()) == {"id_watched_helptext", "id_watched_error"}


def test_a_hidden_field_is_sent_and_not_shown(refused: BeautifulSoup) -> None:
    """It has no label, and is in the form once."""
    assert refused.select_one('input[type="hidden"][name="load"]')["value"] == "7"
    assert len(refused.select('[name="load"]')) == 1
    assert refused.select_one('label[for="id_load"]') is None


def test_numbers_bring_up_the_right_keys() -> None:
    """Digits for counts, a point too for decimals; a count has thumbs and never goes below zero."""
    page = shown(LoadForm())
    count = page.select_one("#id_pieces")
    assert (count["inputmode"], count["min"], count["max"]) == ("numeric", "0", "40")
    assert "count" in count["class"]
    assert page.select_one("#id_weight")["inputmode"] == "decimal"


@pytest.mark.parametrize(
    ("widget", "kind"),
    [(DayInput(), "date"), (TimeInput(), "time")],
)
def test_days_and_times_come_from_the_device(widget: forms.Widget, kind: str) -> None:
    """With the device's own calendar and clock."""
    assert f'type="{kind}"' in widget.render("when", None)


def test_the_buttons_are_named_for_the_act() -> None:
    """What saving does, and the way out, which is a link."""
    page = shown(LoadForm(), act="Save the load", back="/fire/")
    assert page.select_one("button[type=submit]").get_text() == "Save the load"
    assert page.select_one('.acts a[href="/fire/"]').get_text() == "Leave without saving"


def test_no_template_of_a_form_needs_a_style_or_a_script(refused: BeautifulSoup) -> None:
    """The content policy would refuse them."""
    for element in refused.find_all(True):
        assert "style" not in element.attrs
        assert not any(name.startswith("on") for name in element.attrs)
