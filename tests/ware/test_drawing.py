"""Pots are drawn to scale, inside their own measures, from outlines of our own."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vendor.ware import drawing
from vendor.ware.drawing import TILT, Frame, draw, frame_of, svg
from vendor.ware.profiles import CYLINDER, PROFILES, profile_for

NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
SIZES = st.tuples(st.integers(8, 600), st.integers(8, 600))
NAMES = st.sampled_from(sorted(PROFILES))


def extent(path: str) -> tuple[float, float, float, float]:
    """Return left, right, top and bottom of a path's points and controls (y up, in mm)."""
    points = []
    for command, told in re.findall(r"([MCLA])([^MCLAZ]*)", path):
        numbers = [float(number) for number in NUMBERS.findall(told)]
        if command == "A":
            numbers = numbers[-2:]
        points += list(zip(numbers[::2], numbers[1::2], strict=True))
    across, down = zip(*points, strict=True)
    return min(across), max(across), -min(down), -max(down)


@pytest.mark.parametrize("name", sorted(PROFILES))
def test_an_outline_stands_on_its_foot_and_fills_its_measures(name: str) -> None:
    """From height 0 to 1, nowhere wider than 1 and somewhere as wide, rising all the way."""
    profile = PROFILES[name]
    heights = [point.height for point in profile.points]
    radii = [point.radius for point in profile.points]
    assert (heights[0], heights[-1]) == (0, 1)
    assert heights == sorted(heights)
    assert max(radii) == 1
    assert min(radii) >= 0
    assert 0 < profile.glaze < (profile.lid or len(radii) - 1)


@given(NAMES, SIZES)
def test_a_pot_is_as_high_and_as_wide_as_its_form(name: str, size: tuple[int, int]) -> None:
    """No point of it leaves the form's own measures, and it reaches them, handle and all."""
    height, width = size
    pot = draw(PROFILES[name], height_mm=height, width_mm=width)
    left, right, top, bottom = extent(pot.body)
    handle = PROFILES[name].ear
    assert left == pytest.approx(-width / 2, abs=0.1 + width * 0.01)
    assert right == pytest.approx(width / 2 - (handle.reach * width if handle else 0), abs=0.1)
    assert top == pytest.approx(height, abs=0.1)
    assert bottom == 0
    if handle:
        # A stroke reaches half its thickness beyond its line; the line, three quarters of the
        # way to its controls.
        start = float(NUMBERS.findall(pot.ear)[0])
        controls = extent(pot.ear)[1]
        furthest = start + (controls - start) * 0.75 + pot.ear_thickness / 2
        assert furthest <= width / 2 + 0.2 + width * 0.01


@given(st.lists(SIZES, min_size=1, max_size=8))
def test_a_row_shares_one_scale(sizes: list[tuple[int, int]]) -> None:
    """A frame holds every pot of the row, its rim's far edge too; so all have the same viewBox."""
    frame = frame_of(sizes)
    for height, width in sizes:
        assert frame.width >= width
        assert frame.height >= height + TILT * width / 2
    boxes = {
        ElementTree.fromstring(
            svg(profile="bowl", height_mm=height, width_mm=width, frame=frame)
        ).attrib["viewBox"]
        for height, width in sizes
    }
    assert boxes == {frame.view_box}


def test_a_frame_stands_on_its_lower_edge() -> None:
    """Y = 0 is the plank, up is minus."""
    assert Frame(200, 150).view_box == "-100 -150 200 150"
    assert frame_of([]) == frame_of([(100, 100)])


@pytest.mark.parametrize(
    ("name", "outline"),
    [
        ("Tumbler", "tumbler"),
        ("Large berry bowl", "berry bowl"),
        ("Mixing bowls", "bowl"),
        ("Lidded Casserole", "lidded casserole"),
        ("casserole", "lidded casserole"),
        ("Oil-cruet", "oil cruet"),
        ("Milk jug", "pitcher"),
        ("Thimble jar", "thimble jar"),
        ("Honey jar", "jar"),
        ("Mug", "mug"),
        ("Salt pig", "salt pig"),
    ],
)
def test_a_form_is_known_by_its_name(name: str, outline: str) -> None:
    """By the longest word in it that an outline goes by."""
    assert profile_for(name) is PROFILES[outline]


@pytest.mark.parametrize("name", ["", "Flying saucepan", "Mugwort", "   "])
def test_a_form_of_no_known_name_is_a_cylinder(name: str) -> None:
    """Part of another word is no name."""
    assert profile_for(name) is CYLINDER


@given(NAMES, SIZES, st.text(max_size=20), st.text(max_size=9))
def test_a_drawing_is_well_formed_and_has_no_style(
    name: str, size: tuple[int, int], label: str, colour: str
) -> None:
    """Presentation attributes only, whatever stands in the names; no number but plain ones."""
    text = svg(profile=name, height_mm=size[0], width_mm=size[1], colour=colour, label=label)
    assert "nan" not in text.replace(label, "")
    clean = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]|[\ud800-\udfff]", "", text)
    root = ElementTree.fromstring(clean)
    for element in root.iter():
        assert "style" not in element.attrib
        assert not any(key.startswith("on") for key in element.attrib)
        assert element.tag in {"svg", "path"}


def test_a_drawing_is_named_where_no_words_stand_beside_it() -> None:
    """With a label it is an image of that name; without one it is hidden from screen readers."""
    named = ElementTree.fromstring(
        svg(profile="mug", height_mm=95, width_mm=120, label='Mug, "ash" <1>')
    )
    assert (named.attrib["role"], named.attrib["aria-label"]) == ("img", 'Mug, "ash" <1>')
    hidden = ElementTree.fromstring(svg(profile="mug", height_mm=95, width_mm=120))
    assert hidden.attrib["aria-hidden"] == "true"


def test_the_foot_is_bare_clay_and_the_glaze_begins_above_it() -> None:
    """The finish's colour is painted from the glaze line up, the clay's from the foot."""
    text = svg(profile="tumbler", height_mm=115, width_mm=85, colour="#9db8a0")
    fills = [path.attrib["fill"] for path in ElementTree.fromstring(text)]
    assert fills[:2] == [drawing.CLAY, "#9db8a0"]
    pot = draw(PROFILES["tumbler"], height_mm=115, width_mm=85)
    assert extent(pot.glaze)[3] > extent(pot.body)[3]


def test_one_looks_into_open_pots_only() -> None:
    """A bowl has a mouth, a lidded casserole a seam, a salt pig its opening in front."""
    bowl, casserole, pig = (
        draw(PROFILES[name], height_mm=100, width_mm=150)
        for name in ("bowl", "lidded casserole", "salt pig")
    )
    assert bowl.mouth
    assert not bowl.lines
    assert casserole.lines
    assert not casserole.mouth
    assert extent(pig.mouth)[2] < 70
