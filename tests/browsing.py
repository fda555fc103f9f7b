"""Pages in a real browser, each on a device of its own, pointed at the server under test.

`phone` and `laptop` are Playwright pages: `phone.goto("/counter/")`. A test that uses one fails
when the page reports an error, breaks the content security policy, or asks for something that
does not come. A fault that a test brings about on purpose is named beforehand:
`faults.allow("ERR_INTERNET_DISCONNECTED")`.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.auth import get_user_model
from django.test import Client
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Request, Response, WebError

from tests import tools

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE = {
    "viewport": {"width": 412, "height": 915},
    "device_scale_factor": 2,
    "has_touch": True,
    "is_mobile": True,
}
LAPTOP = {"viewport": {"width": 1280, "height": 800}}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# Chromium reports a broken policy to the console itself; this names the directive and the line.
TELL_VIOLATIONS = """
document.addEventListener("securitypolicyviolation", (event) => console.error(
  `policy: ${event.effectiveDirective} ${event.blockedURI} ${event.sourceFile}:${event.lineNumber}`
));
"""


class Faults:
    """What went wrong in a test's pages, and which of it the test meant to happen."""

    def __init__(self) -> None:
        self.seen: list[str] = []
        self._allowed: list[re.Pattern[str]] = []

    def allow(self, pattern: str) -> None:
        """Expect faults in which the regular expression is found."""
        self._allowed.append(re.compile(pattern))

    def unexpected(self) -> list[str]:
        """Return the faults that no test asked for."""
        return [one for one in self.seen if not any(p.search(one) for p in self._allowed)]

    def watch(self, context: BrowserContext) -> None:
        """Note every fault of a context's pages and workers from now on."""
        context.add_init_script(TELL_VIOLATIONS)
        context.on("console", self._console)
        context.on("weberror", self._error)
        context.on("requestfailed", self._failed)
        context.on("response", self._response)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type == "error":
            self.seen.append(f"console: {message.text} {message.location.get('url', '')}")

    def _error(self, error: WebError) -> None:
        self.seen.append(f"page error: {error.error}")

    def _failed(self, request: Request) -> None:
        # A request that the page itself gave up (it went elsewhere, or it was a download).
        if request.failure != "net::ERR_ABORTED":
            self.seen.append(f"request failed: {request.failure} {request.url}")

    def _response(self, response: Response) -> None:
        if response.status >= 400:
            self.seen.append(f"answer {response.status}: {response.url}")


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Start the machine's own Chromium, and keep it from talking to anyone."""
    return {
        **browser_type_launch_args,
        "executable_path": tools.chromium(),
        "args": list(FLAGS),
    }


@pytest.fixture
def faults() -> Iterator[Faults]:
    """What goes wrong in this test's pages; the test fails if it didn't ask for it."""
    watched = Faults()
    yield watched
    assert not watched.unexpected(), "\n".join(watched.unexpected())


@pytest.fixture
def open_page(
    live_server: Any,
    transactional_db: None,
    faults: Faults,
    new_context: Callable[..., BrowserContext],
) -> Callable[..., Page]:
    """A function that opens a watched page on a device with the given properties.

    It asks for the database so that the pages are closed before the tables are emptied.
    """

    def open_on(**device: Any) -> Page:
        context = new_context(base_url=live_server.url, locale="en-US", **device)
        faults.watch(context)
        return context.new_page()

    return open_on


@pytest.fixture
def phone(open_page: Callable[..., Page]) -> Page:
    """A page on a phone: narrow, touched, held upright."""
    return open_page(**PHONE)


@pytest.fixture
def laptop(open_page: Callable[..., Page]) -> Page:
    """A page on a small laptop."""
    return open_page(**LAPTOP)


@pytest.fixture
def log_in(live_server: Any) -> Callable[[Page, Any], None]:
    """A function that logs a user in on a page's device, past the log-in form."""

    def enter(page: Page, user: Any) -> None:
        assert isinstance(user, get_user_model())
        client = Client()
        client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
        name = settings.SESSION_COOKIE_NAME
        cookie = {"name": name, "value": client.cookies[name].value, "url": live_server.url}
        page.context.add_cookies([cookie])

    return enter


def assert_accessible(page: Page) -> None:
    """Fail where the page as it stands breaks a rule of WCAG 2.2 AA that a program can check."""
    results = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert results.violations_count == 0, results.generate_report()
