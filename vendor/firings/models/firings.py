"""Firings and what each of them brought.

A line is so many pieces of one *ware* where the firing finishes it (glaze, lustre, decal), or of
one *form* where it does not yet (bisque). Only ware goes on to the shelf; bisque is no stock.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.firings.models.batches import MAX_PIECES, Batch
from vendor.firings.models.kilns import Kiln
from vendor.firings.validators import known_cone
from vendor.house.models import Document, User
from vendor.ledger.models import Entry
from vendor.ware.models import Form, Ware


class FiringQuerySet(models.QuerySet["Firing"]):
    """Ways to ask for firings."""

    def to_unload(self) -> "FiringQuerySet":
        """Keep the firings that are still to be unloaded."""
        return self.filter(unloaded_at__isnull=True, called_off_at__isnull=True)


class Firing(Document):
    """One kiln load, from the day it is fired until it has been unloaded."""

    class Kind(models.TextChoices):
        BISQUE = "bisque", "Bisque"
        GLAZE = "glaze", "Glaze"
        LUSTRE = "lustre", "Lustre"
        DECAL = "decal", "Decal"

    number = models.PositiveIntegerField(unique=True, editable=False)
    kiln = models.ForeignKey(Kiln, on_delete=models.PROTECT, related_name="firings")
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.GLAZE)
    cone = models.CharField(
        "cone aimed at",
        max_length=4,
        validators=[known_cone],
        help_text="As on the box: 022 … 01, 1 … 14.",
    )
    programmed_cone = models.CharField(
        max_length=4,
        blank=True,
        validators=[known_cone],
        help_text="Where the controller is set to another cone.",
    )
    fired_on = models.DateField("fired on")
    hours = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
        help_text="From switching on to unloading, for the value by hour.",
    )
    note = models.TextField(blank=True)
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    unloaded_at = models.DateTimeField(null=True, blank=True, editable=False)
    unloaded_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    called_off_at = models.DateTimeField(null=True, blank=True, editable=False)
    called_off_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects = FiringQuerySet.as_manager()

    class Meta:
        ordering = ["-fired_on", "-number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(called_off_at__isnull=True, called_off_by__isnull=True)
                | Q(called_off_at__isnull=False, called_off_by__isnull=False),
                name="firing_called_off_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(called_off_at__isnull=True) | Q(unloaded_at__isnull=True),
                name="firing_called_off_is_not_unloaded",
            ),
            models.CheckConstraint(
                condition=Q(unloaded_at__isnull=True, unloaded_by__isnull=True)
                | Q(unloaded_at__isnull=False, unloaded_by__isnull=False),
                name="firing_unloaded_by_somebody",
            ),
        ]

    @property
    def is_unloaded(self) -> bool:
        """Whether the kiln has been unloaded and counted."""
        return self.unloaded_at is not None

    @property
    def is_called_off(self) -> bool:
        """Whether the firing was called off before it was unloaded."""
        return self.called_off_at is not None

    @property
    def is_open(self) -> bool:
        """Whether the firing is still to be unloaded."""
        return not self.is_unloaded and not self.is_called_off

    @property
    def is_bisque(self) -> bool:
        """Whether it carries forms, which are no stock yet, rather than ware."""
        return self.kind == self.Kind.BISQUE

    def __str__(self) -> str:
        return f"Firing {self.number}"


class FiringLineQuerySet(models.QuerySet["FiringLine"]):
    """Ways to ask for what is in firings."""

    def named(self) -> "FiringLineQuerySet":
        """Fetch with the lines what they are called by: their firing, batch, and ware or form."""
        return self.select_related("firing", "batch", "ware__form", "ware__finish", "form")

    def to_unload(self) -> "FiringLineQuerySet":
        """Keep the lines of firings that are still to be unloaded."""
        return self.filter(firing__unloaded_at__isnull=True, firing__called_off_at__isnull=True)


class FiringLine(models.Model):
    """So many pieces of one ware (or, in a bisque firing, of one form), as loaded and unloaded."""

    firing = models.ForeignKey(Firing, on_delete=models.CASCADE, related_name="lines")
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    batch = models.ForeignKey(
        Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="lines"
    )
    loaded = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MAX_PIECES)]
    )
    firsts = models.PositiveIntegerField(null=True, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    lost = models.PositiveIntegerField(null=True, blank=True)

    objects = FiringLineQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ware__isnull=True, form__isnull=False)
                | Q(ware__isnull=False, form__isnull=True),
                name="firing_line_is_ware_or_form",
                violation_error_message="A line is either of one ware or of one form.",
            ),
            # One line for each batch that a ware came from, and one for what came from none.
            models.UniqueConstraint(
                fields=["firing", "ware"],
                condition=Q(ware__isnull=False, batch__isnull=True),
                name="firing_line_once_per_ware",
                violation_error_message="This ware is in the firing already.",
            ),
            models.UniqueConstraint(
                fields=["firing", "form"],
                condition=Q(form__isnull=False, batch__isnull=True),
                name="firing_line_once_per_form",
                violation_error_message="This form is in the firing already.",
            ),
            models.UniqueConstraint(
                fields=["firing", "ware", "batch"],
                condition=Q(ware__isnull=False, batch__isnull=False),
                name="firing_line_once_per_ware_and_batch",
                violation_error_message="This ware of this batch is in the firing already.",
            ),
            models.UniqueConstraint(
                fields=["firing", "form", "batch"],
                condition=Q(form__isnull=False, batch__isnull=False),
                name="firing_line_once_per_form_and_batch",
                violation_error_message="This batch is in the firing already.",
            ),
            models.CheckConstraint(condition=Q(loaded__gt=0), name="firing_line_loads_something"),
            # Every piece that went in comes out as a first, a second or a loss.
            models.CheckConstraint(
                condition=Q(firsts__isnull=True, seconds__isnull=True, lost__isnull=True)
                | Q(loaded=F("firsts") + F("seconds") + F("lost")),
                name="firing_line_adds_up",
                violation_error_message="Firsts, seconds and losses have to add up to the loaded.",
            ),
        ]

    @property
    def thing(self) -> Form | Ware:
        """The ware, or in a bisque firing the form."""
        found = self.ware or self.form
        assert found is not None
        return found

    @property
    def thing_id(self) -> int:
        """The key of the ware, or in a bisque firing of the form."""
        key = self.ware_id or self.form_id
        assert key is not None
        return key

    @property
    def shape(self) -> Form:
        """The form of the pieces."""
        thing = self.thing
        return thing.form if isinstance(thing, Ware) else thing

    @property
    def name(self) -> str:
        """What the pieces are called."""
        return self.thing.name

    @property
    def label(self) -> str:
        """What the pieces are called, with the batch they came from where it is known."""
        return f"{self.name} ({self.batch})" if self.batch is not None else self.name

    def __str__(self) -> str:
        return f"{self.loaded} × {self.ware_id or self.form_id}"


class Loss(models.Model):
    """Why so many pieces of a firing line were lost."""

    class Cause(models.TextChoices):
        CRACKED = "cracked", "Cracked"
        WARPED = "warped", "Warped"
        BLOATED = "bloated", "Bloated"
        GLAZE_RAN = "glaze_ran", "Glaze ran"
        CRAWLED = "crawled", "Glaze crawled"
        STUCK = "stuck", "Stuck to the shelf"
        EXPLODED = "exploded", "Blew up"
        DROPPED = "dropped", "Dropped"
        OTHER = "other", "Something else"

    line = models.ForeignKey(FiringLine, on_delete=models.CASCADE, related_name="losses")
    cause = models.CharField(max_length=10, choices=Cause.choices)
    quantity = models.PositiveIntegerField()
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["line", "cause"], name="loss_once_per_cause"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="loss_loses_something"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.get_cause_display()}"


class UndoneUnloading(Document):
    """An unloading that was undone: what had been counted, by whom, and why it was undone.

    `made_by` and `made_at` say who undid it and when. `entry` is the ledger's entry that was
    reversed, or None where nothing had come out whole. `counts` keeps the counted numbers by
    line, since the lines themselves are open for the next count.
    """

    firing = models.ForeignKey(Firing, on_delete=models.PROTECT, related_name="undone_unloadings")
    entry = models.OneToOneField(
        Entry, on_delete=models.PROTECT, null=True, editable=False, related_name="+"
    )
    unloaded_at = models.DateTimeField(editable=False)
    unloaded_by = models.ForeignKey(
        User, on_delete=models.PROTECT, editable=False, related_name="+"
    )
    reason = models.CharField(max_length=200)
    counts = models.JSONField(editable=False)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.firing}, unloading undone"
