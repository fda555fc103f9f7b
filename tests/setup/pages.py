"""Small pages with one fault each, to prove that the browser tests see faults."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import path

from vendor.house.access import helper_page, public_page

ICON = '<link rel="icon" href="data:,">'


@public_page
def show(request: HttpRequest, page: str) -> HttpResponse:
    """Answer with one of the pages below."""
    if page not in PAGES:
        raise Http404
    kind = "text/javascript" if page.endswith(".js") else "text/html"
    return HttpResponse(PAGES[page], content_type=kind)


@helper_page
def who(request: HttpRequest) -> HttpResponse:
    """Say who is logged in."""
    return HttpResponse(f"{_head('Who')}<p>{request.user.get_username()}</p>")


def _head(title: str) -> str:
    return (
        '<!doctype html><html lang="en"><meta name="viewport" content="width=device-width">'
        f"<title>{title}</title>{ICON}<main><h1>{title}</h1>"
    )


PAGES = {
    "whole": _head("Whole") + "<p>A row of pots.",
    "inline": _head("Inline") + '<p style="color: red">A row of pots.',
    "missing": _head("Missing") + '<script src="/page/nowhere.js"></script>',
    "elsewhere": _head("Elsewhere") + '<img src="http://127.0.0.1:9/pot.png" alt="A pot">',
    "broken": _head("Broken") + '<script src="/page/broken.js"></script>',
    "broken.js": "throw new Error('the handle came off')",
    "grumbling": _head("Grumbling") + '<script src="/page/grumbling.js"></script>',
    "grumbling.js": "console.error('too much grog')",
    "unlabelled": _head("Unlabelled") + '<input name="pots">',
}
urlpatterns = [path("page/<str:page>", show), path("who", who)]
