"""The ways in which money changes hands at a stall."""

from django.db import models


class Way(models.TextChoices):
    """How money is taken or given back."""

    CASH = "cash", "Cash"
    CARD = "card", "Card"
    OTHER = "other", "Other"
