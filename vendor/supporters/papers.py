"""What is printed for promises: making list, sending list, packing slip, address labels.

Contents only become words here; lists are drawn by `vendor.house.paper`. Care notes are common
practice with fired ware; what they say of food defers to tests on record and to local rules.
"""

import io
from collections.abc import Iterable, Sequence

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from vendor.house import paper, written
from vendor.house.models import Studio
from vendor.house.typeface import Face, draw_text, width_in_ems
from vendor.supporters.making import MakingList
from vendor.supporters.models import Commitment
from vendor.supporters.work import ToSend
from vendor.ware.models import Finish, Grade

CARE = (
    "Made and glazed by hand. Before each use look for chips and cracks, and set a damaged piece "
    "aside. Warm and cool it slowly: a sudden change can crack it.",
    "For food and drink follow the rules where you live; when in doubt, ask us first.",
)


def making_list(found: MakingList, studio: Studio) -> bytes:
    """Return the making list as a PDF: by form, with every promise's choices; then the glazes."""
    columns = [
        paper.Column("Promise", 0.8),
        paper.Column("Finish", 1.2),
        paper.Column("Choices", 3),
        paper.Column("Due", 1),
    ]
    blocks = [
        paper.Block(
            each.sentence
            + (f" · {written.weight(each.clay_g, studio)} of clay" if each.clay_g else ""),
            columns,
            [
                [
                    str(one.number),
                    one.finish or "not chosen",
                    "; ".join(
                        [
                            *(f"{name}: {value}" for name, value in one.options),
                            *(f"“{words}”" for words in one.lettering),
                            *([one.note] if one.note else []),
                        ]
                    ),
                    written.day(one.due_on, studio) if one.due_on else "",
                ]
                for one in each.wanted
            ],
        )
        for each in found.throw
    ]
    glaze = [paper.Column("Glaze", 3), paper.Column("Pieces", 1, number=True)]
    if found.glaze:
        rows = [[finish, str(count)] for finish, count in found.glaze]
        blocks.append(paper.Block("To glaze", glaze, rows))
    about = [found.sentence] if found.count else ["Nothing is to be made."]
    return paper.draw(paper.Sheet("Making list", about, blocks), studio=studio)


def sending_list(parcels: Sequence[ToSend], studio: Studio) -> bytes:
    """Return the sending list as a PDF: to whom, where, which pieces and where they stand."""
    columns = [
        paper.Column("To", 2),
        paper.Column("Address", 3),
        paper.Column("Pieces", 3),
        paper.Column("Packed", 0.7),
    ]
    rows = [
        [
            each.supporter.name,
            ", ".join(each.supporter.address.splitlines()) or "no address yet",
            "; ".join(f"{_piece(one)} ({one.number}), {_place(one)}" for one in each.commitments),
            "",
        ]
        for each in parcels
    ]
    sheet = paper.Sheet("Sending list", [f"{len(rows)} parcels"], [paper.Block("", columns, rows)])
    return paper.draw(sheet, studio=studio)


def packing_slip(parcel: ToSend, studio: Studio) -> bytes:
    """Return the slip that goes into one parcel: address, pieces, care and safety."""
    columns = [
        paper.Column("Piece", 3),
        paper.Column("Your choices", 3),
        paper.Column("Promise", 1),
    ]
    rows = [[_piece(one), one.said, str(one.number)] for one in parcel.commitments]
    notes = [*CARE, *_food(one.glaze for one in parcel.commitments)]
    sheet = paper.Sheet(
        f"From {studio.name}",
        [parcel.supporter.name, *parcel.supporter.address.splitlines()],
        [paper.Block("In this parcel", columns, rows)],
        close=notes,
        foot=f"{studio.name} · thank you",
    )
    return paper.draw(sheet, studio=studio)


def address_labels(
    addresses: Sequence[Sequence[str]], studio: Studio, *, columns: int, rows: int, skip: int = 0
) -> bytes:
    """Return addresses (lines of text) on a plain grid that fills the page, as a PDF.

    `columns` × `rows` labels to a page without margins between them; `skip` places at the start
    are left out, for a sheet that was begun. Text shrinks until it fits.
    """
    target = io.BytesIO()
    width, height = LETTER if studio.units == Studio.Unit.INCH else A4
    canvas = Canvas(target, pagesize=(width, height), invariant=1)
    canvas.setTitle("Address labels")
    wide, high = width / columns, height / rows
    for index, lines in enumerate(addresses, start=skip):
        place = index % (columns * rows)
        if index > skip and place == 0:
            canvas.showPage()
        row, column = divmod(place, columns)
        _label(canvas, lines, column * wide + 5 * mm, height - row * high - 5 * mm, wide, high)
    canvas.save()
    return target.getvalue()


def _label(
    canvas: Canvas, lines: Sequence[str], x: float, top: float, wide: float, high: float
) -> None:
    """Draw one address below and to the right of a corner, as large as it fits."""
    words = [paper.printable(line) for line in lines if line.strip()]
    size = 12.0
    widest = max((width_in_ems(line, Face.SEMIBOLD) for line in words), default=1.0)
    size = min(
        size, (wide - 10 * mm) / max(widest, 0.01), (high - 10 * mm) / (1.25 * len(words or [1]))
    )
    for number, line in enumerate(words, start=1):
        face = Face.SEMIBOLD if number == 1 else Face.REGULAR
        draw_text(canvas, x, top - number * size * 1.25 + size * 0.25, line, face, size * 0.96)


def _piece(one: Commitment) -> str:
    if one.hold is None:
        return one.piece_name
    second = " (second)" if one.hold.grade == Grade.SECOND else ""
    return f"{one.hold.ware.name}{second}"


def _place(one: Commitment) -> str:
    return one.hold.place.name if one.hold else ""


def _food(finishes: Iterable[Finish | None]) -> list[str]:
    """Return one sentence for each finish in a parcel, about what is known of food contact."""
    said = {
        Finish.FoodContact.NOT_FOR_FOOD: "{}: not for food or drink.",
        Finish.FoodContact.UNTESTED: (
            "{}: there is no laboratory test of food contact on record. Ask us before you use it "
            "for food or drink."
        ),
        Finish.FoodContact.TESTED: (
            "{}: a laboratory test of food contact is on record; ask us for what was tested."
        ),
    }
    known = {finish.name: finish for finish in finishes if finish is not None}
    return [
        said[Finish.FoodContact(finish.food_contact)].format(name.capitalize())
        for name, finish in sorted(known.items())
    ]
