"""The ways in which money changes hands at a stall."""

from django.db import models


class Way(models.TextChoices):
    """How money is taken or given back."""

    CASH = "cash", "Cash"
    CARD = "card", "Card"
    OTHER = "other", "Other"


IN_WORDS = {
    Way.CASH.value: "in cash",
    Way.CARD.value: "by card",
    Way.OTHER.value: "another way",
}
"""How money changed hands, within a sentence."""
