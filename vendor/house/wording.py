"""What the framework's own checks say, in words for a potter: what to fill in, and how.

The framework's sentences speak of values, fields and limits. These take their place everywhere a
form or a model says no; a field with a sentence of its own keeps it.
"""

from django.core import validators
from django.db import models
from django.forms import fields
from django.forms import models as form_models

_FORM_FIELDS: dict[type[fields.Field], dict[str, str]] = {
    fields.Field: {"required": "This is still empty."},
    fields.IntegerField: {"invalid": "Write a whole number, such as 12."},
    fields.DecimalField: {"invalid": "Write a number, such as 12 or 3.5."},
    fields.DateField: {"invalid": "Choose a day, or write it as year-month-day."},
    fields.TimeField: {"invalid": "Write a time, such as 14:30."},
    fields.DateTimeField: {"invalid": "Choose a day and a time."},
    fields.ChoiceField: {"invalid_choice": "“%(value)s” is not one of the choices."},
    fields.MultipleChoiceField: {"invalid_choice": "“%(value)s” is not one of the choices."},
    fields.FileField: {"empty": "That file is empty.", "missing": "No file was chosen."},
    fields.ImageField: {"invalid_image": "That file is no picture that can be read here."},
    form_models.ModelChoiceField: {"invalid_choice": "That is not one of the choices any more."},
    form_models.ModelMultipleChoiceField: {
        "invalid_choice": "“%(value)s” is not one of the choices any more."
    },
}
_MODEL_FIELDS = {
    "blank": "This is still empty.",
    "null": "This is still empty.",
    "unique": "This is taken already. Choose another.",
}
_VALIDATORS: dict[type[validators.BaseValidator], str] = {
    validators.MinValueValidator: "This has to be %(limit_value)s at least.",
    validators.MaxValueValidator: "This can be %(limit_value)s at most.",
    validators.MaxLengthValidator: (
        "This is too long: it has %(show_value)d letters of at most %(limit_value)d."
    ),
}


def speak_plainly() -> None:
    """Put these sentences in the place of the framework's."""
    for field, sentences in _FORM_FIELDS.items():
        field.default_error_messages = {
            **field.__dict__.get("default_error_messages", {}),
            **sentences,
        }
    models.Field.default_error_messages.update(_MODEL_FIELDS)
    for validator, sentence in _VALIDATORS.items():
        validator.message = sentence
    validators.EmailValidator.message = "Write an e-mail address, with an @ in it."
