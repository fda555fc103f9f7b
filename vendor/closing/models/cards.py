"""Card statements as they came, and what a person said of their lines and of the card sales."""

from django.db import models
from django.db.models import Q

from vendor.fairs.models import Weekend
from vendor.house.models import Document, User


class CardStatement(Document):
    """A card statement that came as a file, kept as it came; its lines are read by `columns`."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_statements")
    name = models.CharField(max_length=200, help_text="The file's name.")
    digest = models.CharField(max_length=64)
    head = models.JSONField()
    rows = models.JSONField()
    columns = models.JSONField(null=True, blank=True, help_text="What each column means.")
    mapped_at = models.DateTimeField(null=True, blank=True)
    mapped_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "digest"],
                condition=Q(removed_at__isnull=True),
                name="card_statement_once_a_weekend",
            )
        ]

    def __str__(self) -> str:
        return self.name


class CardColumns(models.Model):
    """What the columns of statements with a certain head mean, remembered for the next one."""

    head = models.CharField(max_length=64, unique=True, help_text="A fingerprint of the heads.")
    columns = models.JSONField()
    said_at = models.DateTimeField(null=True, blank=True)
    said_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        verbose_name_plural = "card columns"

    def __str__(self) -> str:
        return self.head[:12]


class CardPair(Document):
    """Lines and card sales that a person said belong together, known by their fingerprints.

    `reason` says why where they don't come to the same. Taken apart, it is kept.
    """

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_pairs")
    lines = models.JSONField()
    sales = models.JSONField()
    reason = models.CharField(max_length=200, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.reason or "matched by hand"


class CardNote(Document):
    """Why a line of a statement, or a card sale, has no partner on the other side."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="card_notes")
    about = models.CharField(max_length=80, help_text="Which line or payment, by its fingerprint.")
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.reason
