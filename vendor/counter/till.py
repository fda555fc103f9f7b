"""The cash boxes of a weekend, and cash that goes into and out of them other than by a sale.

A box is known by its number in the weekend. The first is there from the start and needs no row;
what names no box means the first. `cashbox` writes all of it.
"""

from django.db import models
from django.db.models import Q

from vendor.fairs.models import Weekend
from vendor.house.models import Document

FIRST_TILL, MOST_TILLS = 1, 20
FIRST_NAME = "Cash box"


def till_field() -> "models.PositiveSmallIntegerField[int, int]":
    """Return the column that says which cash box of its weekend a row is about."""
    return models.PositiveSmallIntegerField(
        default=FIRST_TILL, help_text="Which cash box of the weekend, by its number."
    )


def name_of(number: int, names: dict[int, str]) -> str:
    """Return what a cash box is called: by its number where it took cash before it was named."""
    first = FIRST_NAME if number == FIRST_TILL else f"{FIRST_NAME} {number}"
    return names.get(number, first)


def names_of(weekend: Weekend) -> dict[int, str]:
    """Return the named cash boxes of a weekend by number, the first among them (one statement)."""
    rows = Till.objects.filter(weekend=weekend).order_by("number")
    return {FIRST_TILL: FIRST_NAME, **dict(rows.values_list("number", "name"))}


class Till(Document):
    """A cash box that a weekend has beside the first."""

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="tills")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=40)

    class Meta:
        app_label = "counter"
        ordering = ["weekend", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["weekend", "number"], name="till_number_once_a_weekend"
            ),
            models.UniqueConstraint(fields=["weekend", "name"], name="till_name_once_a_weekend"),
            models.CheckConstraint(
                condition=Q(number__gt=FIRST_TILL, number__lte=MOST_TILLS),
                name="till_number_possible",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TillMovement(Document):
    """Cash that went into or out of a till other than by a sale.

    It belongs to the day on which it was entered unless `day` names another. What is taken out or
    put in once a day's cash was counted, as so much is that stays for the next, is marked so: no
    part of what that count expected.
    """

    class Kind(models.TextChoices):
        FLOAT = "float", "Float"
        PAID_IN = "paid_in", "Paid in"
        PAID_OUT = "paid_out", "Paid out"

    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="till_movements")
    till = till_field()
    kind = models.CharField(max_length=8, choices=Kind.choices)
    amount = models.BigIntegerField(help_text="Minor units, above zero.")
    reason = models.CharField(max_length=200, blank=True)
    day = models.DateField(null=True, blank=True)
    after_count = models.BooleanField(default=False)
    moved_from = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="moved_to",
        help_text="What was paid out of another cash box to be paid in here.",
    )

    class Meta:
        app_label = "counter"
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="till_movement_above_zero"),
            models.CheckConstraint(
                condition=Q(till__gte=FIRST_TILL, till__lte=MOST_TILLS),
                name="till_movement_in_a_till",
            ),
            models.CheckConstraint(
                condition=~Q(kind="float", after_count=True), name="till_float_before_any_count"
            ),
            models.UniqueConstraint(
                fields=["weekend", "till"],
                condition=Q(kind="float"),
                name="till_one_float_a_weekend",
                violation_error_message="The float of this weekend is entered already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount}"
