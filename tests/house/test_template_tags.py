"""The template tags say amounts, measures and counts as the studio does, and draw bars and pots."""

import datetime
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree

import pytest
from django.template import Context, Template
from django.test import RequestFactory

from tests.factories import StudioFactory, WareFactory

pytestmark = pytest.mark.django_db
TUMBLER = SimpleNamespace(name="Tumbler", profile="", height_mm=115, width_mm=85)
CASSEROLE = SimpleNamespace(
    name="Pie dish", profile="lidded casserole", height_mm=165, width_mm=265
)


def shown(text: str, **context: Any) -> str:
    """Return what a piece of template shows on a page of the studio."""
    request = RequestFactory().get("/")
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    return Template("{% load wareboard %}" + text).render(Context({"request": request, **context}))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{% money 123450 %}", "$1,234.50"),
        ("{% bare_money 123450 %}", "1,234.50"),
        ("{% money None %}", "—"),
        ("{% length 114 %}", "4½ in"),
        ("{% length None %}", "—"),
        ("{% size 115 85 %}", "4½ in high, 3¼ in wide"),
        ("{% weight 454 %}", "1 lb"),
        ('{% plural 1 "piece" %}', "1 piece"),
        ('{% plural 0 "loss" "losses" %}', "0 losses"),
        ('{% plural 1200 "piece" %}', "1,200 pieces"),
    ],
)
def test_figures_are_said_as_the_studio_says_them(text: str, expected: str) -> None:
    """In dollars and inches, as the studio's settings have it."""
    assert shown(text) == expected


def test_days_are_said_on_the_studio_s_clock() -> None:
    """Three in the morning in universal time is the evening before at the studio."""
    at = datetime.datetime(2026, 12, 6, 3, 0, tzinfo=datetime.UTC)
    assert shown("{% day date %}", date=datetime.date(2026, 12, 5)) == "Sat, Dec 5, 2026"
    assert shown("{% moment at %}", at=at).startswith("Sat, Dec 5, 2026, 10:00")


def test_pots_of_a_row_share_their_scale() -> None:
    """One frame for all; a form's own outline goes before its name."""
    text = (
        "{% frame forms as drawn %}"
        "{% for form in forms %}{% pot form '#9db8a0' frame=drawn %}{% endfor %}"
    )
    html = shown(text, forms=[TUMBLER, CASSEROLE])
    drawn = ElementTree.fromstring(f"<row>{html}</row>")
    assert len({svg.attrib["viewBox"] for svg in drawn}) == 1
    assert len(shown("{% pot form %}", form=CASSEROLE)) != len(
        shown("{% pot form %}", form=TUMBLER)
    )


def test_a_photo_stands_in_for_the_drawing() -> None:
    """Where there is one; its words stand beside it, so it needs none of its own."""
    ware = WareFactory(finish__colour="#3a1f14")
    assert 'fill="#3a1f14"' in shown("{% picture ware %}", ware=ware)
    ware.photo = "ware/tumbler.jpg"
    assert '<img src="/media/ware/tumbler.jpg" alt="" loading="lazy">' in shown(
        "{% picture ware %}", ware=ware
    )


@pytest.mark.parametrize(
    ("value", "of", "width"), [(34, 120, "28.3"), (0, 0, "0.0"), (5, 3, "100.0"), (-2, 3, "0.0")]
)
def test_a_bar_is_never_longer_than_its_ground(value: int, of: int, width: str) -> None:
    """Whatever the figures, from nothing to all of it."""
    drawn = ElementTree.fromstring(shown("{% bar value of=of %}", value=value, of=of))
    assert drawn[1].attrib["width"] == width
    assert drawn.attrib["aria-hidden"] == "true"


def test_a_guess_is_dashed_and_a_fact_is_solid() -> None:
    """Told by their class, not by their colour alone."""
    assert 'class="fill"' in shown("{% column 5 of=10 %}")
    assert 'class="guess" d="M2 100V50.0H98V100"' in shown("{% column 5 of=10 guess=True %}")
