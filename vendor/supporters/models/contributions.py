"""Contributions by month, typed in or imported, and the files they came from."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from vendor.house.models import Document, User
from vendor.supporters.models.people import Supporter
from vendor.supporters.models.rules import Level, first_of_month
from vendor.ware.models import MAX_MONEY


class ColumnMapping(models.Model):
    """How the user reads files with one certain head: remembered by that head."""

    head = models.CharField(max_length=64, unique=True, editable=False)
    columns = models.JSONField()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"Mapping {self.pk}"


class ContributionFile(Document):
    """A file of contributions: first to be looked at row by row, then imported.

    Its rows are kept only until it is imported; after that, the rejected ones, until they are
    forgotten. They may hold names, and go when a supporter is erased.
    """

    name = models.CharField(max_length=200)
    head = models.JSONField()
    rows = models.JSONField(default=list, blank=True)
    columns = models.JSONField(null=True, blank=True)
    rejected = models.JSONField(default=list, blank=True)
    added = models.PositiveIntegerField(default=0)
    changed = models.PositiveIntegerField(default=0)
    same = models.PositiveIntegerField(default=0)
    imported_at = models.DateTimeField(null=True, blank=True, editable=False)
    imported_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["-id"]

    @property
    def is_imported(self) -> bool:
        """Whether its rows have been written."""
        return self.imported_at is not None

    def __str__(self) -> str:
        return self.name


class Contribution(Document):
    """One payment for a month, a failed one, or a refund that came as a line of its own.

    The key says where it came from, so that the same line of a file is written once.
    """

    class Kind(models.TextChoices):
        PAID = "paid", "Paid"
        FAILED = "failed", "Failed"
        REFUND = "refund", "Refund"

    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="contributions")
    level = models.ForeignKey(Level, on_delete=models.PROTECT, related_name="+")
    month = models.DateField(validators=[first_of_month])
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.PAID)
    amount = models.PositiveBigIntegerField(
        validators=[MaxValueValidator(MAX_MONEY)], help_text="In minor units."
    )
    on = models.DateField("day")
    refunded_on = models.DateField(null=True, blank=True)
    reference = models.CharField(max_length=120, blank=True)
    file = models.ForeignKey(
        ContributionFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    struck_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-month", "-id"]
        indexes = [models.Index(fields=["supporter", "month"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(refunded_on__isnull=True) | Q(kind="paid"),
                name="contribution_refund_of_a_payment",
            )
        ]

    @property
    def said(self) -> str:
        """What became of it, in a word."""
        if self.struck_at is not None:
            return "Struck out"
        if self.refunded_on is not None:
            return "Refunded"
        return self.get_kind_display()

    def __str__(self) -> str:
        return f"{self.supporter_id}: {self.month:%Y-%m}"


class ContributionChange(Document):
    """What was changed on a contribution after it was written, by whom and why. Never rewritten."""

    class What(models.TextChoices):
        PAID = "paid", "Paid after all"
        REFUNDED = "refunded", "Refunded"
        STRUCK = "struck", "Struck out"
        BACK = "back", "Counted again"

    contribution = models.ForeignKey(Contribution, on_delete=models.PROTECT, related_name="changes")
    what = models.CharField(max_length=8, choices=What.choices)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.contribution}: {self.get_what_display()}"
