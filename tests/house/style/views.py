"""The style pages: every class and template of the look, with invented words and figures."""

import datetime
from dataclasses import dataclass
from pathlib import Path

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.template import engines

from vendor.house import listing
from vendor.house.listing import Choice, Days, Empty
from vendor.house.tables import Column, CountColumn, DayColumn, HouseTable, MoneyColumn, NameColumn
from vendor.house.widgets import CountInput, DayInput

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Form:
    """A form's measures, as the drawings read them."""

    name: str
    height_mm: int
    width_mm: int
    profile: str = ""


@dataclass(frozen=True)
class Piece:
    """A ware on a plank."""

    form: Form
    finish: str
    colour: str
    price: int
    left: int
    in_hand: int = 0


TUMBLER = Form("Tumbler", 115, 85)
BOWL = Form("Berry bowl", 75, 165)
KEEPER = Form("Butter keeper", 95, 115)
PIG = Form("Salt pig", 140, 120)
STICK = Form("Candlestick", 150, 105)
CRUET = Form("Oil cruet", 200, 85)
THIMBLE = Form("Thimble jar", 58, 44)
CASSEROLE = Form("Lidded casserole", 165, 265)
MUG = Form("Mug", 95, 120)
PITCHER = Form("Pitcher", 210, 170)
CELADON, TENMOKU, SHINO, ASH, WHITE = "#9db8a0", "#3a1f14", "#d9b79a", "#8f9479", "#e9e3d8"
PIECES = [
    Piece(TUMBLER, "celadon", CELADON, 3400, 11, 2),
    Piece(TUMBLER, "tenmoku", TENMOKU, 3400, 6),
    Piece(BOWL, "shino", SHINO, 4600, 4),
    Piece(KEEPER, "ash", ASH, 4200, 5),
    Piece(PIG, "matt white", WHITE, 4800, 3),
    Piece(STICK, "tenmoku", TENMOKU, 2800, 9),
    Piece(CRUET, "celadon", CELADON, 5200, 2),
    Piece(THIMBLE, "shino", SHINO, 800, 31, 3),
    Piece(THIMBLE, "ash", ASH, 800, 24),
    Piece(CASSEROLE, "tenmoku", TENMOKU, 12000, 1),
    Piece(MUG, "ash", ASH, 3600, 8),
    Piece(PITCHER, "matt white", WHITE, 8800, 0),
]


@dataclass(frozen=True)
class ShelfRow:
    """A row of the list."""

    name: str
    finish: str
    free: int
    price: int
    made: datetime.date
    why: str

    @classmethod
    def of(cls, piece: Piece) -> "ShelfRow":
        """Return the row of a piece."""
        name = f"{piece.form.name}, {piece.finish}"
        why = "" if piece.left else "sold out Sunday 1 pm"
        return cls(name, piece.finish, piece.left, piece.price, datetime.date(2026, 12, 1), why)


class ShelfTable(HouseTable):
    """The shelf as a list."""

    thing, things, caption = "ware", "wares", "On the shelf"
    name = NameColumn("Ware", why="why", linkify=lambda: "#ware")
    finish = Column("Finish")
    free = CountColumn("Free", total=True)
    price = MoneyColumn("Price", total=True)
    made = DayColumn("Made")


class FiringForm(forms.Form):
    """One field of every kind."""

    name = forms.CharField(label="What to call it", help_text="For your own lists.")
    day = forms.DateField(label="Day", widget=DayInput)
    cone = forms.ChoiceField(label="Cone", choices=[("6", "6"), ("04", "04"), ("022", "022")])
    pieces = forms.IntegerField(
        label="Pieces loaded", min_value=0, max_value=40, initial=14, widget=CountInput
    )
    kind = forms.ChoiceField(
        label="Kind of firing",
        choices=[("bisque", "Bisque"), ("glaze", "Glaze")],
        widget=forms.RadioSelect,
    )
    causes = forms.MultipleChoiceField(
        label="What was lost, and why",
        choices=[("crack", "Cracked"), ("stuck", "Stuck to the shelf"), ("glaze", "Glaze fault")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Tick all that happened.",
    )
    watched = forms.BooleanField(
        label="Witness cones are on every shelf",
        help_text="One on each, where the spy hole sees it.",
    )
    note = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 3}), required=False)
    colour = forms.CharField(label="Colour", widget=forms.TextInput(attrs={"type": "color"}))


def _page(request: HttpRequest, name: str, **context: object) -> HttpResponse:
    """Render a template that lies beside this module."""
    text = (_HERE / f"{name}.html").read_text()
    page = engines["django"].from_string(text)
    forms_shown = [piece.form for piece in PIECES]
    return HttpResponse(page.render({"pieces": PIECES, "forms": forms_shown, **context}, request))


def style_page(request: HttpRequest) -> HttpResponse:
    """Show the pieces of the look."""
    messages.success(request, "The firing of Tuesday is counted out: 38 firsts, 3 seconds, 1 lost.")
    messages.warning(request, "Two tags show an old price. Print them again before Saturday.")
    messages.error(request, "That weekend is closed; nothing was changed.")
    return _page(request, "page", form=FiringForm())


def wrong_form(request: HttpRequest) -> HttpResponse:
    """Show a form that was refused."""
    form = FiringForm({"name": "Load 12", "pieces": "51", "day": "soon"})
    form.add_error(None, "The kiln holds 40 pieces of this size; 51 were given.")
    return _page(request, "wrong", form=form)


def stall(request: HttpRequest) -> HttpResponse:
    """Show pots on planks with a running total."""
    return _page(request, "stall")


def a_list(request: HttpRequest) -> HttpResponse:
    """Show a list page."""
    found = listing.lay_out(
        request,
        ShelfTable,
        [] if "none" in request.GET else [ShelfRow.of(piece) for piece in PIECES * 3],
        file_name="shelf",
        search=("name",),
        filters=(
            Choice("finish", "Finish", field="finish"),
            Choice("free", "Free", options={"no": ("None free", lambda row: not row.free)}),
            Days("made", "Made", field="made"),
        ),
        empty=Empty(
            "Nothing on the shelf yet", "Count out a firing first.", "Fire", "firings:index"
        ),
        per_page=10,
    )
    if "_export" in request.GET:
        return found.answer("base.html")
    return _page(request, "list", list=found)
