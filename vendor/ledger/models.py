"""The ledger's tables. Only `vendor.ledger.actions` writes them; the database guards them.

Movements say from where to where, so every one balances by construction. Entries, movements and
hold lines are append-only (see `triggers`). Balances are kept for speed, in the entry's own
transaction, and can be rebuilt from the lines (see `audit`).
"""

from django.db import models
from django.db.models import F, Q

from vendor.house.models import User
from vendor.ware.models import Grade, Ware


class PlaceQuerySet(models.QuerySet["Place"]):
    """Ways to ask for places."""

    def physical(self) -> "PlaceQuerySet":
        """Places where ware stands; the others are the ways in and out."""
        return self.filter(kind__in=Place.PHYSICAL)


class Place(models.Model):
    """Where ware physically is, or a way by which it comes in or goes out."""

    class Kind(models.TextChoices):
        STUDIO = "studio", "Studio shelf"
        STALL = "stall", "Stall"
        ONLINE = "online", "Online bin"
        GALLERY = "gallery", "Gallery"
        KILN = "kiln", "Kiln"
        SOLD = "sold", "Sold"
        SENT = "sent", "Sent"
        BROKEN = "broken", "Broken"
        GIVEN = "given", "Given"
        TRADED = "traded", "Traded"
        OWN_USE = "own_use", "Own use"
        FOUND = "found", "Found"
        ADJUSTED = "adjusted", "Adjusted"

    PHYSICAL = (Kind.STUDIO, Kind.STALL, Kind.ONLINE, Kind.GALLERY)
    # There may be several of these; of every other kind there is one, made when first needed.
    SEVERAL = (Kind.STALL, Kind.GALLERY)

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    closed_through = models.DateField(
        null=True,
        blank=True,
        editable=False,
        help_text="Nothing dated on or before this day can be added here any more.",
    )

    objects = PlaceQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind"],
                condition=~Q(kind__in=["stall", "gallery"]),
                name="place_one_of_each_but_stalls_and_galleries",
            )
        ]

    @property
    def is_physical(self) -> bool:
        """Whether ware can stand here."""
        return self.kind in self.PHYSICAL

    def __str__(self) -> str:
        return self.name


class Entry(models.Model):
    """One business event; its lines are movements and hold lines."""

    class Kind(models.TextChoices):
        OPENING = "opening", "Opening stock"
        UNLOADING = "unloading", "Unloading"
        MOVING = "moving", "Moved"
        SALE = "sale", "Sale"
        RETURN = "return", "Taken back"
        SENDING = "sending", "Sent"
        REMOVAL = "removal", "Taken out"
        FINDING = "finding", "Found"
        CORRECTION = "correction", "Count corrected"
        HOLDING = "holding", "Held"
        RELEASE = "release", "Released"
        REVERSAL = "reversal", "Reversed"

    key = models.CharField(max_length=80, unique=True)
    digest = models.CharField(max_length=64)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    day = models.DateField(help_text="The studio's calendar day that it happened on.")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    who = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="reversal", reverses__isnull=False)
                | (~Q(kind="reversal") & Q(reverses__isnull=True)),
                name="entry_reversal_names_what_it_reverses",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.day} ({self.pk})"


class Movement(models.Model):
    """So many pieces of one ware and grade, from one place to another."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="movements")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    source = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    target = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="movement_moves_something"),
            models.CheckConstraint(
                condition=~Q(source=F("target")), name="movement_goes_somewhere_else"
            ),
            models.CheckConstraint(
                condition=Q(grade__in=Grade.values), name="movement_grade_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.ware_id} {self.grade}"


class Hold(models.Model):
    """Stock set aside for a named purpose; quantity and place are what is held now."""

    class Purpose(models.TextChoices):
        COMMITMENT = "commitment", "Promised"
        ORDER = "order", "Ordered"
        EARLY_RELEASE = "early_release", "Early release"
        ONLINE = "online", "Online"

    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    purpose = models.CharField(max_length=13, choices=Purpose.choices)
    label = models.CharField(
        max_length=80, help_text="What it is held for, without anybody's name: “Promise 12”."
    )
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField(help_text="Pieces still held; 0 when it is over.")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.label


class HoldLine(models.Model):
    """How one entry changed what one hold holds at one place."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="hold_lines")
    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="lines")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    change = models.IntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=~Q(change=0), name="hold_line_changes_something")
        ]

    def __str__(self) -> str:
        return f"{self.hold_id}: {self.change:+d}"


class Balance(models.Model):
    """What stands at one physical place, and how much of it is held."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="balances")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="balances")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    on_hand = models.IntegerField(default=0)
    held = models.IntegerField(default=0)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["place", "ware", "grade"], name="balance_once_per_place_ware_and_grade"
            ),
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="balance_not_below_zero"),
            models.CheckConstraint(
                condition=Q(held__gte=0, held__lte=F("on_hand")), name="balance_held_is_on_hand"
            ),
        ]

    @property
    def free(self) -> int:
        """On hand less held."""
        return self.on_hand - self.held

    def __str__(self) -> str:
        return f"{self.on_hand} ({self.held} held)"
