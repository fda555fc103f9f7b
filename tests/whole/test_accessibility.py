"""Every page, on a phone and on a laptop, light and dark: no barrier that a program can find."""

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Page

from tests.browsing import RULES
from tests.whole.pages import furnished, pages
from vendor.house.models import User

# What a page looks like does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def barriers(page: Page, paths: dict[str, str]) -> list[str]:
    """Return what axe and the page's own width say of each page, in both palettes.

    Between the palettes only the colours differ, so that the second look is at those alone.
    """
    everything = {"type": "tag", "values": RULES}
    colours = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
    found = []
    for name, path in paths.items():
        page.goto(path)
        # The second look finds the library in the page already.
        for scheme, rules, axe in (("light", everything, Axe()), ("dark", colours, Axe("true"))):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            results = axe.run(page, options={"runOnly": rules, "resultTypes": ["violations"]})
            found += [
                f"{name}, {scheme}: {rule['id']}: {node['html'][:120]}"
                for rule in results.response["violations"]
                for node in rule["nodes"][:2]
            ]
        if page.evaluate(TOO_WIDE) > 0:
            found.append(f"{name}: wider than the screen")
    return found


@pytest.fixture
def owner(transactional_db: None) -> User:
    """The owner of the demo's studio."""
    return furnished()


@pytest.mark.parametrize("held", ["phone", "laptop"])
def test_no_page_has_a_barrier(
    held: str, owner: User, request: pytest.FixtureRequest, log_in: Callable[[Page, Any], None]
) -> None:
    """WCAG 2.2 AA as far as axe can see, and no page that scrolls sideways."""
    client = Client()
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    paths = pages(client)
    page: Page = request.getfixturevalue(held)
    log_in(page, owner)
    assert barriers(page, paths) == []


def test_the_doors_have_no_barrier(owner: User, phone: Page) -> None:
    """Logging in, too."""
    assert barriers(phone, {"house:login": "/login/"}) == []
