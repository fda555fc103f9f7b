"""Label sheets, printers, what a studio's tags carry, and the memory of what was printed.

Lengths are whole micrometres, prices whole minor units. A print run keeps the prices that its
tags show, so that it can be told later which tags no longer say the truth.
"""

from io import BytesIO

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from PIL import Image

from vendor.firings.models import Firing
from vendor.house.models import Document, User
from vendor.labels.placing import UNPRINTABLE, Printing
from vendor.labels.scale import MOST_OFF, TRUE, Scale
from vendor.labels.sheets import Nudge, Sheet
from vendor.labels.tags import Picture
from vendor.ledger.models import Hold
from vendor.ware.models import Grade, PriceTier, Ware

MOST_OF_ONE = 10_000


class Kind(models.TextChoices):
    """What a printed tag is for; each has a layout of its own."""

    STICKER = "sticker", "Stuck-on label"
    HANG = "hang", "Hang tag"
    FOLD = "fold", "Fold-over tag"
    TALKER = "talker", "Shelf talker"
    REWARD = "reward", "Reward tag"
    SLIP = "slip", "Kiln-shelf slip"


ON_PIECES = (Kind.STICKER, Kind.HANG, Kind.FOLD)
"""The kinds that carry a price and stay with a piece; a shelf talker stays with its basket."""


class Symbol(models.TextChoices):
    """In which bars or squares a code is printed."""

    CODE128 = "code128", "Bars of the ware's code"
    QR = "qr", "Square (QR) of the ware's code"
    NUMBER = "number", "Bars of its article number"
    NONE = "none", "None"


class LabelSheet(models.Model):
    """One kind of label sheet as the studio measured it, in micrometres (see `sheets.Sheet`)."""

    note = models.CharField(
        max_length=60, blank=True, help_text="Your own word for it, to tell it from others."
    )
    paper_width = models.PositiveIntegerField()
    paper_height = models.PositiveIntegerField()
    label_width = models.PositiveIntegerField()
    label_height = models.PositiveIntegerField()
    columns = models.PositiveIntegerField()
    rows = models.PositiveIntegerField()
    left = models.IntegerField()
    top = models.IntegerField()
    step_across = models.PositiveIntegerField()
    step_down = models.PositiveIntegerField()
    corner_radius = models.PositiveIntegerField(default=0)
    retired = models.BooleanField(default=False, help_text="Not offered any more.")

    MEASURES = (
        "paper_width", "paper_height", "label_width", "label_height", "columns", "rows",
        "left", "top", "step_across", "step_down", "corner_radius",
    )  # fmt: skip

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(label_width__gt=0, label_height__gt=0, columns__gt=0, rows__gt=0),
                name="label_sheet_has_labels",
                violation_error_message="A sheet has at least one label, with a width and height.",
            ),
            models.CheckConstraint(
                condition=Q(columns=1) | Q(step_across__gte=F("label_width")),
                name="label_sheet_columns_do_not_overlap",
                violation_error_message="The columns of the sheet overlap.",
            ),
            models.CheckConstraint(
                condition=Q(rows=1) | Q(step_down__gte=F("label_height")),
                name="label_sheet_rows_do_not_overlap",
                violation_error_message="The rows of the sheet overlap.",
            ),
        ]

    @classmethod
    def of(cls, sheet: Sheet, note: str = "") -> "LabelSheet":
        """Return an unsaved row of a sheet's numbers."""
        return cls(note=note, **{name: getattr(sheet, name) for name in cls.MEASURES})

    @property
    def sheet(self) -> Sheet:
        """The sheet as plain numbers."""
        return Sheet(**{name: getattr(self, name) for name in self.MEASURES})

    @property
    def name(self) -> str:
        """What it is called: its dimensions and number, and the studio's own word."""
        return f"{self.sheet.name}, {self.note}" if self.note else self.sheet.name

    def __str__(self) -> str:
        return self.name


class LabelPrinter(models.Model):
    """A printer: how fine and true it prints, what edge it leaves blank, how far prints move."""

    class Dots(models.IntegerChoices):
        """Printer dots to the inch."""

        COARSE = 203, "203 dots to the inch (many label printers)"
        FINE = 300, "300 dots to the inch"
        FINER = 600, "600 dots to the inch (many desk printers)"

    name = models.CharField(max_length=60, unique=True)
    resolution = models.PositiveSmallIntegerField(choices=Dots.choices, default=Dots.FINE)
    margin = models.PositiveIntegerField(default=UNPRINTABLE)
    nudge_right = models.IntegerField(default=0)
    nudge_down = models.IntegerField(default=0)
    scale_across_ppm = models.PositiveIntegerField(default=TRUE)
    scale_down_ppm = models.PositiveIntegerField(default=TRUE)
    retired = models.BooleanField(default=False, help_text="Not offered any more.")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    scale_across_ppm__range=(TRUE - MOST_OFF, TRUE + MOST_OFF),
                    scale_down_ppm__range=(TRUE - MOST_OFF, TRUE + MOST_OFF),
                ),
                name="label_printer_is_nearly_true",
                violation_error_message="A printer errs by two hundredths at most.",
            )
        ]

    @property
    def printing(self) -> Printing:
        """How it prints, as plain numbers."""
        nudge = Nudge(self.nudge_right, self.nudge_down)
        scale = Scale(self.scale_across_ppm, self.scale_down_ppm)
        return Printing(self.resolution, nudge, self.margin, scale=scale)

    def __str__(self) -> str:
        return self.name


class TagDress(models.Model):
    """What the studio's tags carry besides the piece's own words: a single row, key 1."""

    class Maker(models.TextChoices):
        NAME = "name", "The studio's name"
        MARK = "mark", "The studio's mark (a picture)"
        NONE = "none", "Neither"

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    maker = models.CharField("who made it", max_length=4, choices=Maker.choices, default=Maker.NAME)
    mark = models.BinaryField(null=True, blank=True, editable=False)
    symbol = models.CharField("bars", max_length=7, choices=Symbol.choices, default=Symbol.CODE128)
    care = models.CharField(
        "care line",
        max_length=60,
        blank=True,
        help_text="A few words for every tag that has room for them: “Wash by hand.”",
    )
    sheet = models.ForeignKey(
        LabelSheet, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    printer = models.ForeignKey(
        LabelPrinter, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="tag_dress_has_one_row")]

    @property
    def picture(self) -> Picture | None:
        """The studio's mark where tags carry it."""
        if self.maker != self.Maker.MARK or not self.mark:
            return None
        data = bytes(self.mark)
        with Image.open(BytesIO(data)) as image:
            return Picture(data, image.width, image.height)

    def __str__(self) -> str:
        return "What tags carry"


class ArticleNumber(models.Model):
    """The article number of a ware in one grade: thirteen digits, the last of them a check digit.

    A number of twelve digits is kept with the leading zero that makes it one of thirteen.
    """

    ware = models.ForeignKey(Ware, on_delete=models.PROTECT, related_name="article_numbers")
    grade = models.CharField(max_length=6, choices=Grade.choices, default=Grade.FIRST)
    number = models.CharField(
        max_length=13,
        unique=True,
        error_messages={"unique": "Another ware has this number already."},
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["ware", "grade"],
                name="article_number_once_per_ware_and_grade",
                violation_error_message="This ware and grade has a number already.",
            ),
            models.CheckConstraint(
                condition=Q(number__regex=r"^[0-9]{13}$"), name="article_number_has_13_digits"
            ),
        ]

    def __str__(self) -> str:
        return self.number


class PrintRunQuerySet(models.QuerySet["PrintRun"]):
    """Ways to ask for print runs."""

    def standing(self) -> "PrintRunQuerySet":
        """Keep the runs whose tags are out on pieces: those that were not struck."""
        return self.filter(struck_at__isnull=True)


class PrintRun(Document):
    """Tags that were printed together: a document that can be opened, and printed, again."""

    kind = models.CharField(max_length=7, choices=Kind.choices)
    symbol = models.CharField(max_length=7, choices=Symbol.choices)
    sheet = models.ForeignKey(LabelSheet, on_delete=models.PROTECT, related_name="+")
    printer = models.ForeignKey(LabelPrinter, on_delete=models.PROTECT, related_name="+")
    start = models.PositiveIntegerField(default=1)
    tax_said = models.BooleanField(default=False, help_text="The tags say that tax is included.")
    names_said = models.BooleanField(default=False, help_text="Reward tags say first names.")
    offer_count = models.PositiveIntegerField(null=True, blank=True)
    offer_price = models.PositiveBigIntegerField(null=True, blank=True)
    source = models.CharField(max_length=60, blank=True, help_text="What it was printed for.")
    struck_at = models.DateTimeField(null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects = PrintRunQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"Print run {self.pk}"


class PrintedTag(models.Model):
    """So many tags of one piece in a print run, with the price that stands on them."""

    run = models.ForeignKey(PrintRun, on_delete=models.CASCADE, related_name="tags")
    ware = models.ForeignKey(
        Ware, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    grade = models.CharField(max_length=6, choices=Grade.choices, default=Grade.FIRST)
    quantity = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_OF_ONE)]
    )
    price = models.PositiveBigIntegerField(null=True, blank=True)
    tier = models.ForeignKey(
        PriceTier, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    hold = models.ForeignKey(
        Hold, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    firing = models.ForeignKey(
        Firing, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    words = models.CharField(
        max_length=120, blank=True, help_text="What the piece is called where it is no ware yet."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="printed_tag_prints_some"),
            models.CheckConstraint(
                condition=Q(price__isnull=True, tier__isnull=True)
                | Q(price__gt=0, tier__isnull=False),
                name="printed_tag_price_has_a_tier",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.ware_id or self.words}"
