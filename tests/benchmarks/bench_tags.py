"""How long 3,000 price tags take, beside the least that the same ink could take.

Run it with `python -m tests.benchmarks.bench_tags`. The floor draws the same lines of text and the
same codes on as many pages with bare reportlab calls: no layout, no fitting, no checks.
"""

import sys
from collections.abc import Callable
from io import BytesIO
from time import perf_counter

from reportlab.graphics.barcode.code128 import Code128
from reportlab.pdfgen.canvas import Canvas

from vendor.labels.fonts import Face, registered
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.pdf import draw_tags
from vendor.labels.sheets import Sheet
from vendor.labels.tags import TagText

COUNT = 3_000
FORMS = ("Tumbler", "Berry bowl", "Salt pig", "Oil cruet", "Lidded casserole", "Butter keeper")
FINISHES = ("celadon", "tenmoku", "shino", "ash", "matt white")


def tags(distinct: int, run: str) -> list[TagText]:
    """Give COUNT tags, so many of them distinct; `run` keeps caches from helping the next."""
    wares = [
        TagText(
            ware=f"{FORMS[number % len(FORMS)]} {run}",
            price=f"${18 + number % 70}.00",
            code=f"{run}{number:05d}",
            finish=FINISHES[number % len(FINISHES)],
            studio="Tansy Weir Pottery",
        )
        for number in range(distinct)
    ]
    return [wares[number % distinct] for number in range(COUNT)]


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
