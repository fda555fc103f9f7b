"""Batches: runs of one form, thrown together, on their way to the shelf.

A batch is what its steps say. Its own figures (stage, pieces lost, out and in a kiln) are kept for
speed, written anew from the steps and the firing lines in the act's own transaction, so that the
database itself can refuse more pieces than were begun.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from vendor.house.models import Document, User
from vendor.ware.models import Form

MAX_PIECES = 5_000


class Stage(models.IntegerChoices):
    """How far a batch has come, in the order in which it goes."""

    THROWN = 1, "Thrown"
    TRIMMED = 2, "Trimmed"
    DRY = 3, "Dry"
    BISQUE = 4, "Bisque"
    GLAZED = 5, "Glazed"


class BatchQuerySet(models.QuerySet["Batch"]):
    """Ways to ask for batches."""

    def on_the_way(self) -> "BatchQuerySet":
        """Keep the batches of which pieces are still on their way."""
        return self.filter(ended_at__isnull=True)


class Batch(Document):
    """A run of one form, thrown together.

    Every piece that was begun is lost, out of the kiln as ware, in a kiln that is still to be
    unloaded, or at hand.
    """

    number = models.PositiveIntegerField(unique=True, editable=False)
    form = models.ForeignKey(Form, on_delete=models.PROTECT, related_name="batches")
    begun = models.PositiveIntegerField(
        "pieces", validators=[MinValueValidator(1), MaxValueValidator(MAX_PIECES)]
    )
    thrown_on = models.DateField()
    note = models.TextField(blank=True, max_length=500)
    stage = models.PositiveSmallIntegerField(
        choices=Stage.choices, default=Stage.THROWN, editable=False
    )
    since = models.DateField("at this stage since", editable=False)
    lost = models.PositiveIntegerField(default=0, editable=False)
    out = models.PositiveIntegerField(
        default=0, editable=False, help_text="Came out of a kiln as firsts or seconds."
    )
    in_kiln = models.PositiveIntegerField(default=0, editable=False)
    bisqued = models.PositiveIntegerField(
        default=0, editable=False, help_text="At hand, bisque fired ahead of the others."
    )
    called_off = models.CharField("why called off", max_length=200, blank=True, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects = BatchQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "batches"
        constraints = [
            models.CheckConstraint(condition=Q(begun__gt=0), name="batch_begins_with_a_piece"),
            models.CheckConstraint(
                condition=Q(stage__gte=Stage.THROWN, stage__lte=Stage.GLAZED),
                name="batch_stage_is_known",
            ),
            models.CheckConstraint(
                condition=Q(begun__gte=F("lost") + F("out") + F("in_kiln") + F("bisqued")),
                name="batch_has_no_more_than_was_begun",
                violation_error_message="A batch can't have more pieces than were begun.",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__isnull=False, ended_by__isnull=False),
                name="batch_ended_by_somebody",
            ),
            # It ends with its last piece, and not before.
            models.CheckConstraint(
                condition=Q(ended_at__isnull=False, begun=F("lost") + F("out"))
                | Q(ended_at__isnull=True, begun__gt=F("lost") + F("out")),
                name="batch_ends_with_its_last_piece",
            ),
            models.CheckConstraint(
                condition=Q(called_off="") | Q(ended_at__isnull=False),
                name="batch_called_off_has_ended",
            ),
            models.CheckConstraint(
                condition=Q(since__gte=F("thrown_on")), name="batch_days_go_forward"
            ),
        ]

    @property
    def is_over(self) -> bool:
        """Whether no piece of it is on its way any more."""
        return self.ended_at is not None

    @property
    def left(self) -> int:
        """Pieces still on their way, in a kiln or not."""
        return self.begun - self.lost - self.out

    @property
    def at_hand(self) -> int:
        """Pieces on their way that are in no kiln."""
        return self.left - self.in_kiln

    @property
    def to_glaze(self) -> int:
        """Pieces at hand that can go into a glaze firing."""
        return self.at_hand if self.stage >= Stage.BISQUE else self.bisqued

    @property
    def to_bisque(self) -> int:
        """Pieces at hand that can go into a bisque firing."""
        return self.at_hand - self.to_glaze

    @property
    def is_damp(self) -> bool:
        """Whether it is not known to be dry: damp pieces can burst in a kiln."""
        return self.stage < Stage.DRY

    @property
    def next_stage(self) -> Stage | None:
        """The stage that comes next by hand; None where the kiln comes next."""
        return Stage(self.stage + 1) if self.stage < Stage.GLAZED else None

    @property
    def state(self) -> str:
        """How far it has come, in a word or two."""
        if self.called_off:
            return "Called off"
        if self.is_over:
            return "Unloaded" if self.out else "All lost"
        return Stage(self.stage).label

    def __str__(self) -> str:
        return f"Batch {self.number}"


class BatchStep(Document):
    """One thing that happened to a batch: its history, which nobody rewrites.

    `on` is the day it happened; `was` and `stage` say where the batch stood before and after. A
    step that was wrong is taken back by another one that names it. `lost` and `out` are pieces.
    """

    class What(models.TextChoices):
        STARTED = "started", "Begun"
        MOVED = "moved", "Moved on"
        LOST = "lost", "Lost"
        UNLOADED = "unloaded", "Unloaded"
        CALLED_OFF = "called_off", "Called off"
        TAKEN_BACK = "taken_back", "Taken back"

    class Cause(models.TextChoices):
        CRACKED = "cracked", "Cracked"
        WARPED = "warped", "Warped"
        COLLAPSED = "collapsed", "Collapsed on the wheel or the board"
        CUT_THROUGH = "cut_through", "Trimmed through"
        CAME_APART = "came_apart", "A join came apart"
        DROPPED = "dropped", "Dropped or knocked"
        BURST = "burst", "Blew up"
        OTHER = "other", "Something else"

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="steps")
    what = models.CharField(max_length=10, choices=What.choices)
    was = models.PositiveSmallIntegerField(choices=Stage.choices)
    stage = models.PositiveSmallIntegerField(choices=Stage.choices)
    on = models.DateField("day")
    lost = models.PositiveIntegerField(default=0)
    cause = models.CharField(max_length=12, choices=Cause.choices, blank=True)
    out = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)
    firing = models.ForeignKey(
        "firings.Firing", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            # Stages only go forward, but for what is taken back.
            models.CheckConstraint(
                condition=Q(what="moved", stage__gt=F("was"))
                | Q(what="unloaded", stage__gte=F("was"))
                | Q(what="taken_back", stage__lte=F("was"))
                | Q(what__in=["started", "lost", "called_off"], stage=F("was")),
                name="batch_step_goes_forward",
                violation_error_message="A batch only moves on to a later stage.",
            ),
            models.CheckConstraint(
                condition=Q(was__gte=Stage.THROWN, stage__gte=Stage.THROWN)
                & Q(was__lte=Stage.GLAZED, stage__lte=Stage.GLAZED),
                name="batch_step_stage_is_known",
            ),
            models.CheckConstraint(
                condition=Q(what="unloaded", firing__isnull=False)
                | (~Q(what="unloaded") & Q(firing__isnull=True, out=0)),
                name="batch_step_unloaded_from_a_firing",
            ),
            models.CheckConstraint(
                condition=Q(what="taken_back", undoes__isnull=False, lost=0)
                | (~Q(what="taken_back") & Q(undoes__isnull=True)),
                name="batch_step_taken_back_names_another",
            ),
            models.CheckConstraint(
                condition=~Q(what="lost") | Q(lost__gt=0), name="batch_step_loses_something"
            ),
            models.CheckConstraint(
                condition=Q(lost__gt=0) | Q(cause=""), name="batch_step_cause_of_a_loss"
            ),
        ]

    @property
    def said(self) -> str:
        """What it says in a few words: “Trimmed”, “2 lost”, “Taken back: Trimmed”."""
        if self.what == self.What.TAKEN_BACK and self.undoes is not None:
            return f"Taken back: {self.undoes.said}"
        if self.what == self.What.STARTED:
            return f"{Stage(self.stage).label}"
        if self.what == self.What.MOVED:
            return Stage(self.stage).label
        if self.what == self.What.UNLOADED:
            return f"Unloaded from {self.firing}"
        return self.get_what_display()

    @property
    def why(self) -> str:
        """Pieces that came out and were lost, and why, as far as it says."""
        out = [f"{self.out} out"] if self.out else []
        lost = [f"{self.lost} lost"] if self.lost else []
        cause = [self.get_cause_display().lower()] if self.cause else []
        return ", ".join([*out, *lost, *cause, *([self.note] if self.note else [])])

    def __str__(self) -> str:
        return f"{self.batch_id}: {self.get_what_display()}"
