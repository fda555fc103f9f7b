"""Pots as drawings: an outline and a form's measures in, SVG out. Pure; knows no database.

Everything is in millimetres with the foot on the line y = 0 and up being minus, so that pots which
share a frame stand on one plank at their true relative size. Only presentation attributes are
written: a strict content policy refuses `style=`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import hypot

from vendor.ware.profiles import Ear, Point, Profile, profile_for

PLAIN = "#b9a48c"
"""The colour of a pot whose finish has none."""
CLAY = "#a9744f"
"""Bare clay: the foot, below the line of the glaze."""
TILT = 0.085
"""How far one looks down on the pots: a level circle is drawn this flat."""

_XY = tuple[float, float]


@dataclass(frozen=True)
class Frame:
    """What a row of drawings shares: millimetres across and up. The same frame, the same scale."""

    width: float
    height: float

    @property
    def view_box(self) -> str:
        """The frame as the viewBox of an SVG, the plank at its lower edge."""
        return f"{_n(-self.width / 2)} {_n(-self.height)} {_n(self.width)} {_n(self.height)}"


@dataclass(frozen=True)
class Drawing:
    """The pieces of one pot as SVG path data, in the order in which they are painted."""

    ear: str
    ear_thickness: float
    body: str
    glaze: str
    shade: str
    light: str
    mouth: str
    lines: str


@dataclass(frozen=True)
class _Piece:
    """One stretch of the wall: a cubic curve with its four points, the right side, going up."""

    start: _XY
    out: _XY
    into: _XY
    end: _XY


def frame_of(sizes: Iterable[tuple[float, float]]) -> Frame:
    """Return the smallest frame that holds forms of these (height, width), in millimetres."""
    all_sizes = list(sizes) or [(100.0, 100.0)]
    widest = max(width for _, width in all_sizes)
    # A rim's far edge is drawn above the form's own height.
    tallest = max(height + TILT * width / 2 for height, width in all_sizes)
    return Frame(widest * 1.04, tallest * 1.02)


def draw(profile: Profile, *, height_mm: float, width_mm: float) -> Drawing:
    """Return the drawing of an outline at a form's measures (millimetres, both above zero)."""
    reach = profile.ear.reach * width_mm if profile.ear else 0.0
    wall = _wall(profile.points, height_mm, (width_mm - reach) / 2)
    shift = -reach / 2
    glazed = wall[profile.glaze :]
    return Drawing(
        ear=_ear(profile.ear, wall, height_mm, reach, shift) if profile.ear else "",
        ear_thickness=reach * 0.3,
        body=_ring(wall, shift, top_bows=profile.is_open),
        glaze=_ring(glazed, shift, top_bows=profile.is_open, bottom_bows=True),
        shade=_strip(glazed, shift, 0.66, 1.0),
        light=_strip(glazed, shift, -0.8, -0.62),
        mouth=_mouth(profile, wall, height_mm, shift),
        lines=_lines(profile, wall, height_mm, shift),
    )


def svg(
    *,
    profile: str,
    height_mm: float,
    width_mm: float,
    colour: str = PLAIN,
    frame: Frame | None = None,
    label: str = "",
    css_class: str = "",
) -> str:
    """Return a pot as an SVG element.

    `profile` is the name of an outline or of a form. Without a frame the pot fills its box; with
    one that a row shares, it has its true size beside the others. Without a label it is hidden
    from screen readers: then its name stands in words beside it.
    """
    pot = draw(profile_for(profile), height_mm=height_mm, width_mm=width_mm)
    box = frame or frame_of([(height_mm, width_mm)])
    told = f'role="img" aria-label="{escape(label)}"' if label else 'aria-hidden="true"'
    named = f' class="{escape(css_class)}"' if css_class else ""
    paint = escape(colour)
    edge = 'stroke="currentColor" stroke-opacity=".6" vector-effect="non-scaling-stroke"'
    pieces = [
        f'<path d="{pot.ear}" fill="none" stroke="currentColor" stroke-opacity=".6" '
        f'stroke-width="{_n(pot.ear_thickness * 1.25)}"/>'
        f'<path d="{pot.ear}" fill="none" stroke="{paint}" stroke-width="{_n(pot.ear_thickness)}"/>'
        if pot.ear
        else "",
        f'<path d="{pot.body}" fill="{CLAY}" {edge}/>',
        f'<path d="{pot.glaze}" fill="{paint}"/>',
        f'<path d="{pot.shade}" fill="#000" fill-opacity=".13"/>',
        f'<path d="{pot.light}" fill="#fff" fill-opacity=".26"/>',
        f'<path d="{pot.mouth}" fill="#000" fill-opacity=".34"/>' if pot.mouth else "",
        f'<path d="{pot.lines}" fill="none" {edge} stroke-width=".8"/>' if pot.lines else "",
    ]
    return (
        f'<svg{named} viewBox="{box.view_box}" preserveAspectRatio="xMidYMax meet" {told} '
        f'focusable="false">{"".join(pieces)}</svg>'
    )


def _n(value: float) -> str:
    """Write a number for SVG: at most one tenth of a millimetre, no needless zeros."""
    return f"{value:.1f}".rstrip("0").rstrip(".").replace("-0", "0", value > -0.05)


def _at(x: float, y: float) -> str:
    return f"{_n(x)} {_n(-y)}"


def _wall(points: tuple[Point, ...], height: float, radius: float) -> list[_Piece]:
    """Return the right-hand wall in millimetres as smooth cubic pieces, none beyond the measures.

    Each smooth point's tangent runs along its two neighbours (a Catmull-Rom spline on chord
    length), which is how a rib leaves a wall. Controls are kept inside the form's own measures:
    a cubic never leaves the hull of its four points, so neither does the outline.
    """
    places = [(point.radius * radius, point.height * height) for point in points]

    def kept(x: float, y: float) -> _XY:
        return min(max(x, 0.0), radius), min(max(y, 0.0), height)

    pieces = []
    for index, (start, end) in enumerate(pairwise(places)):
        reach = hypot(end[0] - start[0], end[1] - start[1]) / 3
        leave = _tangent(points, places, index, (start, end))
        arrive = _tangent(points, places, index + 1, (start, end))
        out = kept(start[0] + leave[0] * reach, start[1] + leave[1] * reach)
        into = kept(end[0] - arrive[0] * reach, end[1] - arrive[1] * reach)
        pieces.append(_Piece(start, out, into, end))
    return pieces


def _tangent(
    points: tuple[Point, ...], places: list[_XY], index: int, chord: tuple[_XY, _XY]
) -> _XY:
    """Return the unit direction of the wall at a point; at a corner, that of the chord."""
    if points[index].corner or index in (0, len(points) - 1):
        (x0, y0), (x1, y1) = chord
    else:
        (x0, y0), (x1, y1) = places[index - 1], places[index + 1]
    size = hypot(x1 - x0, y1 - y0) or 1.0
    return (x1 - x0) / size, (y1 - y0) / size


def _up(wall: list[_Piece], shift: float, factor: float) -> str:
    """Return the wall going up, its radius times a factor (negative: the left side)."""
    return "".join(
        f"C{_at(p.out[0] * factor + shift, p.out[1])} {_at(p.into[0] * factor + shift, p.into[1])} "
        f"{_at(p.end[0] * factor + shift, p.end[1])}"
        for p in wall
    )


def _down(wall: list[_Piece], shift: float, factor: float) -> str:
    """Return the wall going down, its radius times a factor."""
    return "".join(
        f"C{_at(p.into[0] * factor + shift, p.into[1])} {_at(p.out[0] * factor + shift, p.out[1])} "
        f"{_at(p.start[0] * factor + shift, p.start[1])}"
        for p in reversed(wall)
    )


def _ring(wall: list[_Piece], shift: float, *, top_bows: bool, bottom_bows: bool = False) -> str:
    """Return the closed outline of a stretch of wall, both sides."""
    low, high = wall[0].start, wall[-1].end
    top = f"A{_n(high[0])} {_n(high[0] * TILT)} 0 0 0 " if top_bows else "L"
    bow = min(low[0] * TILT, low[1])
    bottom = f"A{_n(low[0])} {_n(bow)} 0 0 0 {_at(low[0] + shift, low[1])}" if bottom_bows else ""
    return (
        f"M{_at(low[0] + shift, low[1])}{_up(wall, shift, 1)}"
        f"{top}{_at(shift - high[0], high[1])}{_down(wall, shift, -1)}{bottom}Z"
    )


def _strip(wall: list[_Piece], shift: float, inner: float, outer: float) -> str:
    """Return a strip of light or shade along the wall, between two shares of its radius."""
    low, high = wall[0].start, wall[-1].end
    return (
        f"M{_at(low[0] * inner + shift, low[1])}{_up(wall, shift, inner)}"
        f"L{_at(high[0] * outer + shift, high[1])}{_down(wall, shift, outer)}Z"
    )


def _oval(x: float, y: float, across: float, up: float) -> str:
    """Return a closed oval: the front half from left to right, then the back half."""
    left, right = _at(x - across, y), _at(x + across, y)
    half = f"A{_n(across)} {_n(up)} 0 0 0 "
    return f"M{left}{half}{right}{half}{left}Z"


def _mouth(profile: Profile, wall: list[_Piece], height: float, shift: float) -> str:
    """Return what one sees the inside through: the mouth, or the opening in the front."""
    widest = max(piece.end[0] for piece in wall)
    if profile.hole:
        hole = profile.hole
        return _oval(shift, hole.height * height, hole.across * widest, hole.up * height)
    if not profile.is_open:
        return ""
    rim = wall[-1].end
    return _oval(shift, rim[1], rim[0], rim[0] * TILT)


def _lines(profile: Profile, wall: list[_Piece], height: float, shift: float) -> str:
    """Return the seam of the lid and the throwing lines, bowed as a level circle is."""
    heights = [ring * height for ring in profile.rings]
    if profile.lid is not None:
        heights.append(wall[profile.lid].start[1])
    drawn = []
    for y in heights:
        radius = _radius_at(wall, y)
        bow = f"A{_n(radius)} {_n(radius * TILT)} 0 0 0 "
        drawn.append(f"M{_at(shift - radius, y)}{bow}{_at(shift + radius, y)}")
    return "".join(drawn)


def _radius_at(wall: list[_Piece], y: float) -> float:
    """Return how far out the wall is at a height, to within a tenth of a per cent of a piece."""
    found = 0.0
    for piece in wall:
        low, high = sorted((piece.start[1], piece.end[1]))
        if not low <= y <= high:
            continue
        before, after = 0.0, 1.0
        for _ in range(10):
            middle = (before + after) / 2
            if (_on(piece, middle)[1] < y) == (piece.start[1] <= piece.end[1]):
                before = middle
            else:
                after = middle
        found = max(found, _on(piece, after)[0])
    return found


def _on(piece: _Piece, t: float) -> _XY:
    """Return the point of a cubic at t from 0 to 1."""
    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
    x = a * piece.start[0] + b * piece.out[0] + c * piece.into[0] + d * piece.end[0]
    y = a * piece.start[1] + b * piece.out[1] + c * piece.into[1] + d * piece.end[1]
    return x, y


def _ear(ear: Ear, wall: list[_Piece], height: float, reach: float, shift: float) -> str:
    """Return the middle line of a handle, which ends inside the wall."""
    top, bottom = ear.top * height, ear.bottom * height
    x_top, x_bottom = _radius_at(wall, top), _radius_at(wall, bottom)
    widest = max(piece.end[0] for piece in wall)
    # A cubic with both controls at the same x comes three quarters of the way there.
    far = widest + reach * 0.85
    out_top = x_top + (far - x_top) / 0.75
    out_bottom = x_bottom + (far - x_bottom) / 0.75
    out = (out_top + out_bottom) / 2
    return (
        f"M{_at(x_top * 0.9 + shift, top)}C{_at(out + shift, top + height * 0.04)} "
        f"{_at(out + shift, bottom)} {_at(x_bottom * 0.9 + shift, bottom)}"
    )
