"""Who may open which page: every view says so itself, and one that says nothing stays shut.

A view carries one mark: `public_page` (no login), `helper_page` (owner and helpers) or
`owner_page` (the owner alone). The middleware reads the mark; the server refuses, whatever
the page shows.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseBase

View = Callable[..., HttpResponseBase]

PUBLIC, HELPER, OWNER = "public", "helper", "owner"
# Views of libraries that cannot carry a mark, by module: the admin checks its own staff flag.
MARKS_BY_MODULE = {"django.contrib.admin": OWNER}


def _marked(access: str) -> Callable[[View], View]:
    def mark(view: View) -> View:
        @wraps(view)
        def marked(*args: Any, **kwargs: Any) -> HttpResponseBase:
            return view(*args, **kwargs)

        marked.access = access  # type: ignore[attr-defined]
        return marked

    return mark


public_page = _marked(PUBLIC)
helper_page = _marked(HELPER)
owner_page = _marked(OWNER)


def access_of(view: View) -> str | None:
    """Return the mark of a view, or None where it has none (nobody may open it)."""
    mark: str | None = getattr(view, "access", None)
    if mark is None:
        module = getattr(view, "__module__", "")
        for prefix, module_mark in MARKS_BY_MODULE.items():
            if module.startswith(prefix):
                return module_mark
    return mark


def may_open(view: View, user: Any) -> bool:
    """Tell whether a user (or an anonymous visitor) may open a view."""
    mark = access_of(view)
    if mark == PUBLIC:
        return True
    if not user.is_authenticated or mark is None:
        return False
    return bool(user.is_owner) if mark == OWNER else True


class AccessMiddleware:
    """Refuse every view that the visitor may not open; ask strangers to log in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on; `process_view` decides."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: View, args: Any, kwargs: Any
    ) -> HttpResponseBase | None:
        """Let the view run, send a stranger to the log-in page, or refuse."""
        if may_open(view, request.user):
            return None
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        raise PermissionDenied
