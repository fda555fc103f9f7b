"""Sale documents as they were taken, their undoings, what came back, and documents that wait.

A sale keeps its facts: names, prices, tax and who paid what, at that moment. Its rows are
append-only (see `vendor.ledger.triggers`); undoing one is a document of its own.
"""

from django.db import models
from django.db.models import F, Q

from vendor.counter.bundles import Bundle as Bundle
from vendor.counter.commission import Commission as Commission
from vendor.counter.commission import Deposit as Deposit
from vendor.counter.exchange import Exchange as Exchange
from vendor.counter.pins import Pin as Pin
from vendor.counter.till import Till as Till
from vendor.counter.till import TillMovement as TillMovement
from vendor.counter.till import till_field
from vendor.counter.unsettled import Unsettled as Unsettled
from vendor.counter.ways import Way as Way
from vendor.fairs.models import Fair, Weekend
from vendor.house.models import Document, User
from vendor.ledger.models import Entry
from vendor.supporters.models import Commitment
from vendor.ware.models import Grade, Ware


class Sale(models.Model):
    """One sale: what left the table, for how much, taken by whom, when."""

    key = models.CharField(max_length=64, unique=True)
    fair = models.ForeignKey(Fair, on_delete=models.PROTECT, related_name="sales")
    weekend = models.ForeignKey(Weekend, on_delete=models.PROTECT, related_name="sales")
    number = models.PositiveIntegerField(help_text="The receipt number, without gaps per fair.")
    day = models.DateField()
    sold_at = models.DateTimeField(help_text="By the device's clock.")
    received_at = models.DateTimeField()
    seller = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    device = models.CharField(max_length=40, blank=True)
    till = till_field()
    currency = models.CharField(max_length=3)
    tax_rate_ppm = models.PositiveIntegerField()
    tax_included = models.BooleanField()
    tax_rounding = models.CharField(max_length=8)
    net = models.BigIntegerField(help_text="Minor units, without tax.")
    tax = models.BigIntegerField()
    total = models.BigIntegerField(help_text="net + tax, before cash rounding.")
    cash_rounding = models.IntegerField(default=0, help_text="What rounding the cash added.")
    discount = models.BigIntegerField(default=0, help_text="All discounts together.")
    discount_reason = models.CharField(max_length=120, blank=True)
    pieces = models.PositiveIntegerField()
    by_count = models.BooleanField(
        default=False, help_text="Not rung up: found missing at the closing's count."
    )
    note = models.CharField(max_length=200, blank=True)
    digest = models.CharField(max_length=64)
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")
    commitment = models.ForeignKey(
        Commitment,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The commission that was handed over with it.",
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["fair", "number"], name="sale_number_once_a_fair"),
            models.CheckConstraint(
                condition=Q(total=F("net") + F("tax")), name="sale_total_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(net__gte=0, tax__gte=0, discount__gte=0),
                name="sale_amounts_not_below_zero",
            ),
        ]

    @property
    def what(self) -> str:
        """What was sold, in words."""
        return ", ".join(str(line) for line in self.lines.all())

    @property
    def state(self) -> str:
        """What became of it, where that is not the usual."""
        if hasattr(self, "undoing"):
            return "Undone"
        return "By count" if self.by_count else ""

    def __str__(self) -> str:
        return f"Sale {self.number}"


class SaleLine(models.Model):
    """One line of a sale, with the facts of that moment."""

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="lines")
    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="+")
    grade = models.CharField(max_length=6, choices=Grade.choices)
    name = models.CharField(max_length=120, help_text="What the ware was called.")
    tier = models.CharField(max_length=40, help_text="Which price list it was sold from.")
    quantity = models.PositiveIntegerField()
    list_price = models.PositiveBigIntegerField(help_text="Minor units a piece, on the tag.")
    unit_price = models.PositiveBigIntegerField(help_text="Minor units a piece, asked for.")
    price_reason = models.CharField(max_length=120, blank=True)
    discount = models.PositiveBigIntegerField(default=0)
    net = models.BigIntegerField()
    tax = models.BigIntegerField()
    total = models.BigIntegerField()
    found = models.PositiveIntegerField(
        default=0, help_text="Pieces that the count did not know and the closing will ask about."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="sale_line_sells_something"),
            models.CheckConstraint(
                condition=Q(total=F("net") + F("tax")),
                name="sale_line_total_adds_up",
            ),
            models.CheckConstraint(
                condition=Q(found__lte=F("quantity")), name="sale_line_found_is_sold"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.name}"


class Payment(models.Model):
    """How a sale, or a part of it, was paid."""

    class Method(models.TextChoices):
        CASH = Way.CASH.value, Way.CASH.label
        CARD = Way.CARD.value, Way.CARD.label
        OTHER = Way.OTHER.value, Way.OTHER.label
        DEPOSIT = "deposit", "Deposit"
        EXCHANGE = "exchange", "Exchange"

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="payments")
    method = models.CharField(max_length=8, choices=Method.choices)
    amount = models.BigIntegerField(help_text="Minor units paid for the sale itself.")
    tip = models.BigIntegerField(
        default=0, help_text="Paid on top, for the seller: no part of the sale and of its tax."
    )
    tendered = models.BigIntegerField(null=True, blank=True, help_text="Cash handed over.")
    change = models.BigIntegerField(default=0, help_text="Cash given back.")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gte=0, tip__gte=0, change__gte=0), name="payment_not_below_zero"
            ),
            models.CheckConstraint(
                condition=Q(tendered__isnull=True, change=0)
                | Q(tendered=F("amount") + F("tip") + F("change")),
                name="payment_change_adds_up",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_method_display()} {self.amount}"


class Undoing(models.Model):
    """A sale that was taken back whole, with the reason."""

    key = models.CharField(max_length=64, unique=True)
    sale = models.OneToOneField(Sale, on_delete=models.PROTECT, related_name="undoing")
    reason = models.CharField(max_length=200)
    who = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.sale} undone"


class TakenBack(Document):
    """Pieces of one sale that a customer brought back, and the money that went back for them."""

    sale = models.ForeignKey(Sale, on_delete=models.PROTECT, related_name="taken_back")
    weekend = models.ForeignKey(
        Weekend, on_delete=models.PROTECT, related_name="taken_back", help_text="In which they came"
    )
    day = models.DateField()
    happened_at = models.DateTimeField()
    reason = models.CharField(max_length=200)
    method = models.CharField(max_length=5, choices=Way.choices)
    till = till_field()
    net = models.BigIntegerField(help_text="Minor units, without tax.")
    tax = models.BigIntegerField()
    total = models.BigIntegerField(help_text="net + tax, before cash rounding.")
    cash_rounding = models.IntegerField(default=0, help_text="What rounding the cash added.")
    set_off = models.BigIntegerField(
        default=0, help_text="What of it paid for pieces that went out in exchange."
    )
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "taken back"
        constraints = [
            models.CheckConstraint(
                condition=Q(set_off__gte=0, set_off__lte=F("total")),
                name="taken_back_set_off_within_its_total",
            ),
            models.CheckConstraint(
                condition=Q(total=F("net") + F("tax")), name="taken_back_total_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(net__gte=0, tax__gte=0), name="taken_back_not_below_zero"
            ),
        ]

    @property
    def refunded(self) -> int:
        """What the customer got, in minor units."""
        return self.total - self.set_off + self.cash_rounding

    def __str__(self) -> str:
        return f"{self.sale}, taken back"


class TakenBackLine(models.Model):
    """So many pieces of one line of a sale that came back, and where they went."""

    class Into(models.TextChoices):
        STOCK = "stock", "Back on the stall"
        SECOND = "second", "On the stall as a second"
        BROKEN = "broken", "Broken"

    taken_back = models.ForeignKey(TakenBack, on_delete=models.PROTECT, related_name="lines")
    line = models.ForeignKey(SaleLine, on_delete=models.PROTECT, related_name="taken_back")
    quantity = models.PositiveIntegerField()
    into = models.CharField(max_length=6, choices=Into.choices)
    net = models.BigIntegerField()
    tax = models.BigIntegerField()
    total = models.BigIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gt=0), name="taken_back_line_brings_something"
            ),
            models.CheckConstraint(
                condition=Q(total=F("net") + F("tax")), name="taken_back_line_total_adds_up"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.line.name}"
