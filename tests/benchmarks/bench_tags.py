"""How long 3,000 price tags take, beside the least that the same ink could take.

Run it with `python -m tests.benchmarks.bench_tags`. The floor draws the same lines of text and the
same codes on as many pages with bare reportlab calls: no layout, no fitting, no checks. For the
squares it is the library's own QR drawing. The last lines tell the most memory that Python held
while drawing more and more.
"""

import sys
import tracemalloc
from collections.abc import Callable
from io import BytesIO
from tempfile import TemporaryFile
from time import perf_counter

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.code128 import Code128
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.pdfgen.canvas import Canvas

from vendor.house.typeface import Face, registered
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.pdf import draw_tags, write_tags
from vendor.labels.sheets import Sheet
from vendor.labels.tags import TagText

COUNT = 3_000
FORMS = ("Tumbler", "Berry bowl", "Salt pig", "Oil cruet", "Lidded casserole", "Butter keeper")
FINISHES = ("celadon", "tenmoku", "shino", "ash", "matt white")


def tags(distinct: int, run: str, way: str = "code128", count: int = COUNT) -> list[TagText]:
    """Give so many tags, so many of them distinct; `run` keeps caches from helping the next."""
    wares = [
        TagText(
            ware=f"{FORMS[number % len(FORMS)]} {run}",
            price=f"${18 + number % 70}.00",
            code=f"{run}{number:05d}",
            finish=FINISHES[number % len(FINISHES)],
            studio="Tansy Weir Pottery",
            way=way,
        )
        for number in range(distinct)
    ]
    return [wares[number % distinct] for number in range(count)]


def bare(wanted: list[TagText], sheet: Sheet, *, strings: bool, bars: bool) -> bytes:
    """Draw the same texts or codes one after another, wherever they fall."""
    target = BytesIO()
    canvas = Canvas(target, pageCompression=1, invariant=1)
    registered(Face.REGULAR)
    for number, tag in enumerate(wanted):
        if number % sheet.per_page == 0:
            if number:
                canvas.showPage()
            canvas.setFont(Face.REGULAR, 8)
        y = 780 - number % sheet.per_page * 8
        if strings:
            for text in (tag.studio, tag.ware, tag.finish, tag.price, tag.code):
                canvas.drawString(20, y, text)
        if bars:
            Code128(tag.code, barHeight=18, barWidth=0.72, quiet=0).drawOn(canvas, 200, y)
    canvas.save()
    return target.getvalue()


def timed(name: str, draw: Callable[[], bytes]) -> None:
    """Time one drawing and print its line."""
    begin = perf_counter()
    size = len(draw())
    took = perf_counter() - begin
    sys.stdout.write(f"{name:<58} {took:6.2f} s {COUNT / took:8,.0f} tags/s {size / 1e6:5.1f} MB\n")


def main() -> None:
    """Print a table of all ways to draw COUNT tags."""
    wide, small = KNOWN_SHEETS[0], KNOWN_SHEETS[-1]
    wanted = tags(COUNT, "FL")
    timed("bare drawString, 1 a tag", lambda: _one_string(wanted))
    timed(
        "bare drawString, the same 5 texts a tag",
        lambda: bare(wanted, wide, strings=True, bars=False),
    )
    timed("bare codes by the library", lambda: bare(wanted, wide, strings=False, bars=True))
    timed("bare texts and codes", lambda: bare(wanted, wide, strings=True, bars=True))
    for run, distinct in (("A", 150), ("B", COUNT)):
        for letter, sheet in (("W", wide), ("S", small)):
            chosen = tags(distinct, run + letter)
            timed(
                f"tags, {distinct:,} distinct, {sheet.name}",
                lambda chosen=chosen, sheet=sheet: draw_tags(chosen, sheet),
            )
    timed("bare squares by the library", lambda: _squares(wanted))
    for run, distinct in (("Q", 150), ("R", COUNT)):
        squares = tags(distinct, run, "qr")
        timed(
            f"tags with squares, {distinct:,} distinct, {wide.name}",
            lambda squares=squares: draw_tags(squares, wide),
        )
    for count in (COUNT, 2 * COUNT, 3 * COUNT):
        for way in ("code128", "qr"):
            memory(f"memory for {count:,} tags, 150 distinct, {way}", count, way)


def _squares(wanted: list[TagText]) -> bytes:
    """Draw a square for each tag as the library does."""
    target = BytesIO()
    canvas = Canvas(target, pageCompression=1, invariant=1)
    for number, tag in enumerate(wanted):
        if number and number % 30 == 0:
            canvas.showPage()
        drawing = Drawing(30, 30)
        drawing.add(QrCodeWidget(tag.code, barLevel="M", barWidth=30, barHeight=30))
        renderPDF.draw(drawing, canvas, 20, 780 - number % 30 * 8)
    canvas.save()
    return target.getvalue()


def memory(name: str, count: int, way: str) -> None:
    """Print the most memory that Python held while drawing so many tags."""
    wanted = tags(150, f"M{way[0]}", way, count)
    with TemporaryFile() as target:
        tracemalloc.start()
        write_tags(wanted, KNOWN_SHEETS[0], target=target)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    sys.stdout.write(f"{name:<58} {peak / 1e6:6.1f} MB\n")


def _one_string(wanted: list[TagText]) -> bytes:
    target = BytesIO()
    canvas = Canvas(target, pageCompression=1, invariant=1)
    for number, tag in enumerate(wanted):
        if number and number % 30 == 0:
            canvas.showPage()
        canvas.drawString(20, 780 - number % 30 * 8, tag.ware)
    canvas.save()
    return target.getvalue()


if __name__ == "__main__":
    main()
