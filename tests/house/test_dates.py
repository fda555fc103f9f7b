"""How days are said: in the studio's language, on pages and in sentences alike."""

import datetime
import re

import pytest
from django.template import Context, Template
from django.test import RequestFactory

from tests.factories import StudioFactory
from vendor.house import dates
from vendor.house.models import Studio
from vendor.settings import BASE_DIR

pytestmark = pytest.mark.django_db

SATURDAY, SUNDAY = datetime.date(2026, 12, 5), datetime.date(2026, 12, 6)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en_US", ["Sat, Dec 5, 2026", "Dec 5", "December 2026", "Saturday", "Sat"]),
        ("de_DE", ["Sa., 5. Dez. 2026", "5. Dez.", "Dezember 2026", "Samstag", "Sa"]),
    ],
)
def test_days_are_said_by_the_studios_language(language: str, said: list[str]) -> None:
    """As CLDR has it."""
    StudioFactory(language=language)
    ways = (dates.day, dates.short_day, dates.month, dates.weekday, dates.short_weekday)
    assert [way(SATURDAY) for way in ways] == said


def test_a_span_is_as_short_as_it_can_be_said() -> None:
    """One day, two of a month, over the end of a month and of a year."""
    StudioFactory(language="en_US")
    first = datetime.date(2026, 10, 31)
    spans = (
        dates.span(SATURDAY, SATURDAY),
        dates.span(SATURDAY, SUNDAY),
        dates.span(first, datetime.date(2026, 11, 1)),
        dates.span(datetime.date(2026, 12, 31), datetime.date(2027, 1, 1)),
    )
    assert [each.replace("\u2009", " ") for each in spans] == [
        "Dec 5, 2026",
        "Dec 5 – 6, 2026",
        "Oct 31 – Nov 1, 2026",
        "Dec 31, 2026 – Jan 1, 2027",
    ]


def test_the_studio_of_the_request_is_asked_for_nothing(django_assert_num_queries: object) -> None:
    """Its language holds for as long as the request is answered; before the first run, a usual."""
    assert dates.weekday(SATURDAY) == "Saturday"
    with dates.said_as_by(Studio(language="fr_FR")), django_assert_num_queries(0):  # type: ignore[operator]
        assert dates.weekday(SATURDAY) == "samedi"
    assert dates.weekday(SATURDAY) == "Saturday"


def test_the_tags_say_the_same_as_sentences() -> None:
    """Day, short day, month, weekday; a dash for none."""
    request = RequestFactory().get("/")
    request.studio = StudioFactory(language="en_US")  # type: ignore[attr-defined]
    told = "{% day on %}|{% short_day on %}|{% month on %}|{% short_weekday on %}|{% month no %}"
    page = Template("{% load wareboard %}" + told)
    said = [dates.day(SATURDAY), dates.short_day(SATURDAY), dates.month(SATURDAY), "Sat", "—"]
    assert page.render(Context({"request": request, "on": SATURDAY, "no": None})) == "|".join(said)


def test_nothing_says_a_day_in_another_way() -> None:
    """No page and no sentence writes months or weekdays by itself."""
    pages = [
        page for page in (BASE_DIR / "templates").rglob("*.html") if "|date" in page.read_text()
    ]
    sentences = [
        path
        for path in (BASE_DIR / "vendor").rglob("*.py")
        if re.search(r":%[AaBb]|%[AaBb] ", path.read_text(encoding="utf-8"))
    ]
    assert (pages, sentences) == ([], [])
