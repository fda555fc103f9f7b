"""When something goes wrong, the page says what happened, what was kept and what to do."""

import pytest
from django.http import HttpRequest
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory

from tests.factories import OwnerFactory, StudioFactory

PAGES = [
    "400.html",
    "403.html",
    "404.html",
    "500.html",
    "house/form_too_old.html",
    "house/refused.html",
    "house/locked_out.html",
]


@pytest.fixture
def request_of_the_owner(db: None) -> HttpRequest:
    """A request as the middleware leaves it."""
    request = RequestFactory().get("/")
    request.user = OwnerFactory()
    request.studio = StudioFactory()  # type: ignore[attr-defined]
    return request


@pytest.mark.parametrize("name", PAGES)
def test_an_error_page_says_what_was_kept(name: str, request_of_the_owner: HttpRequest) -> None:
    """In the potter's words; no code of the trade of programs."""
    html = render_to_string(
        name, {"message": "The kiln is full. Nothing was changed."}, request_of_the_owner
    )
    assert "<h1>" in html
    assert any(told in html for told in ("othing was changed", "not saved", "Wait, then try again"))
    for word in ("error", "Error", "exception", "server", "404", "500"):
        assert word not in html.split("<main", 1)[1]


@pytest.mark.parametrize("name", ["400.html", "404.html", "500.html"])
def test_an_error_page_stands_without_a_request(name: str) -> None:
    """Whatever failed may have been the request itself."""
    html = engines["django"].get_template(name).render({})
    assert "<h1>" in html


def test_a_refusal_is_said_in_its_own_sentence(request_of_the_owner: HttpRequest) -> None:
    """The sentence is the headline, escaped."""
    html = render_to_string(
        "house/refused.html", {"message": "No <such> ware."}, request_of_the_owner
    )
    assert "No &lt;such&gt; ware." in html
