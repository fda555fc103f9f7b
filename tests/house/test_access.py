"""Default-deny over every address of the house: strangers log in, helpers stay at the stall."""

from collections.abc import Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.resolvers import RegexPattern

from tests.factories import OwnerFactory, StudioFactory, UserFactory
from vendor.house.access import HELPER, OWNER, PUBLIC, access_of, may_open

# What a stranger may open: logging in, the first run, and what a browser fetches by itself.
OPEN_TO_ALL = {
    "house:login",
    "house:logout",
    "studio:first_run",
    "counter:worker",
    "counter:manifest",
}
# What only the owner may open, beyond doubt: costs, addresses, settings, closing for good.
OWNERS_OWN = {"studio:settings", "studio:people", "studio:backup", "supporters:index"}


def patterns(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Yield every address of the house with its full name."""
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            space = f"{prefix}{pattern.namespace}:" if pattern.namespace else prefix
            yield from patterns(pattern, space)
        else:
            yield f"{prefix}{pattern.name}", pattern


EVERY = dict(patterns(get_resolver()))


def address(pattern: URLPattern, name: str) -> str:
    """Return a path that leads to a pattern, with made-up arguments."""
    from django.urls import reverse

    made_up = {"int": 1, "str": "x", "slug": "x", "uuid": "0" * 32, "path": "x", "key": "x" * 32}
    assert not isinstance(pattern.pattern, RegexPattern), f"{name}: say it with path()"
    arguments = {}
    for argument, converter in pattern.pattern.converters.items():
        kind = type(converter).__name__.removesuffix("Converter").lower()
        kind = {"integer": "int", "string": "str"}.get(kind, kind)
        arguments[argument] = made_up.get(kind, 1)
    return reverse(name, kwargs=arguments)


@pytest.mark.parametrize("name", sorted(EVERY))
def test_every_view_says_who_may_open_it(name: str) -> None:
    """A view without a mark would stay shut for everybody: it is a fault."""
    assert access_of(EVERY[name].callback) in {PUBLIC, HELPER, OWNER}


def test_only_the_doors_are_open_to_strangers() -> None:
    """A new public page has to be named here."""
    public = {name for name in EVERY if access_of(EVERY[name].callback) == PUBLIC}
    assert public <= OPEN_TO_ALL


def test_what_is_the_owners_own_is_marked_so() -> None:
    """Addresses, settings and logins are not for helpers."""
    for name in OWNERS_OWN & EVERY.keys():
        assert access_of(EVERY[name].callback) == OWNER


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(EVERY.keys() - OPEN_TO_ALL))
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_stranger_is_sent_to_log_in(name: str, method: str, client: Client) -> None:
    """Nothing is shown or written without a login."""
    StudioFactory()
    OwnerFactory()
    response = getattr(client, method)(address(EVERY[name], name))
    assert response.status_code in {302, 401, 403}
    if response.status_code == 302:
        assert response.url.startswith("/login/")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "name", sorted(name for name in EVERY if access_of(EVERY[name].callback) == OWNER)
)
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_helper_is_refused_the_owners_pages(name: str, method: str, client: Client) -> None:
    """The server refuses, whatever the page shows."""
    StudioFactory()
    client.force_login(UserFactory(), "django.contrib.auth.backends.ModelBackend")
    assert getattr(client, method)(address(EVERY[name], name)).status_code == 403


@pytest.mark.django_db
def test_a_view_without_a_mark_is_shut_even_for_the_owner() -> None:
    """Default-deny."""

    def unmarked() -> None:
        """Nobody has said who may open this."""

    unmarked.__module__ = "vendor.somewhere"
    assert not may_open(unmarked, OwnerFactory())  # type: ignore[arg-type]
