"""Shows a refused act where it was asked for: on its form, or as a message on the page after it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import BaseForm
from django.http import HttpRequest

from vendor.house.errors import Refused

T = TypeVar("T")


def done(form: BaseForm, act: Callable[[], T]) -> T | None:
    """Do an act; where it is refused, say so at the head of the form and return None."""
    try:
        return act()
    except Refused as refused:
        form.add_error(None, refused.message)
    except ValidationError as error:
        form.add_error(None, ValidationError(error.messages))
    return None


@contextmanager
def saying_why(request: HttpRequest) -> Iterator[None]:
    """Where an act in it is refused, leave the rest of it out, and say so on the next page.

    For a form that keeps nothing typed that would be lost: a button, or a line of a reason.
    """
    try:
        yield
    except Refused as refused:
        messages.error(request, refused.message)


def status_of(form: BaseForm | None) -> int:
    """Return the answer's status: 409 where the act as a whole was refused, else 200."""
    return 409 if form is not None and form.is_bound and form.non_field_errors() else 200
