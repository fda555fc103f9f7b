"""What a form refuses, it refuses in words that say what to do."""

import pytest
from django import forms
from django.core.exceptions import ValidationError

from tests.factories import FormFactory
from vendor.ware.models import Form


class Load(forms.Form):
    """A kiln load."""

    name = forms.CharField(max_length=5)
    pieces = forms.IntegerField(min_value=1, max_value=40)
    weight = forms.DecimalField()
    day = forms.DateField()
    kind = forms.ChoiceField(choices=[("b", "Bisque")])
    mail = forms.EmailField()
    own = forms.CharField(error_messages={"required": "Say who loaded it."})


GOOD = {
    "name": "Seven",
    "pieces": "12",
    "weight": "3.5",
    "day": "2026-12-01",
    "kind": "b",
    "mail": "robin@example.org",
    "own": "Robin",
}


@pytest.mark.parametrize(
    ("field", "answer", "sentence"),
    [
        ("name", "", "This is still empty."),
        ("name", "Seventh", "This is too long: it has 7 letters of at most 5."),
        ("pieces", "many", "Write a whole number, such as 12."),
        ("pieces", "0", "This has to be 1 at least."),
        ("pieces", "41", "This can be 40 at most."),
        ("weight", "heavy", "Write a number, such as 12 or 3.5."),
        ("day", "soon", "Choose a day, or write it as year-month-day."),
        ("kind", "raku", "“raku” is not one of the choices."),
        ("mail", "robin", "Write an e-mail address, with an @ in it."),
        ("own", "", "Say who loaded it."),
    ],
)
def test_a_form_says_what_to_do(field: str, answer: str, sentence: str) -> None:
    """One sentence for one mistake, a field's own before the usual one."""
    assert Load(GOOD | {field: answer}).errors == {field: [sentence]}


def test_good_answers_are_taken() -> None:
    """The sentences changed, not the rules."""
    assert Load(GOOD).is_valid()


@pytest.mark.django_db
def test_a_name_that_is_taken_is_said_so() -> None:
    """By what has it, in the model's own words."""
    FormFactory(name="Tumbler")
    with pytest.raises(ValidationError) as caught:
        Form(code="T2", name="Tumbler", height_mm=90, width_mm=80).full_clean()
    assert caught.value.message_dict == {"name": ["This is taken already. Choose another."]}
