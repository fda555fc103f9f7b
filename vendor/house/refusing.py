"""Shows a refused act on the form that asked for it, so that what was typed is kept."""

from collections.abc import Callable
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.forms import BaseForm

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


def status_of(form: BaseForm) -> int:
    """Return the answer's status: 409 where the act as a whole was refused, else 200."""
    return 409 if form.is_bound and form.non_field_errors() else 200
