"""Both palettes can be read: text 4.5:1, what carries meaning by its shape 3:1 (WCAG 2.2)."""

import re
from pathlib import Path

import pytest

CSS = Path(__file__).parents[2] / "vendor/static/wareboard/look.css"
GROUNDS = ("slip", "board", "sunk", "wash")
TEXTS = ("ink", "ash", "iron", "good", "warn")


def luminance(colour: str) -> float:
    """Return the relative luminance of #rrggbb (WCAG 2.2, “relative luminance”)."""
    channels = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, “contrast ratio”)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def palettes() -> dict[str, dict[str, str]]:
    """Return the colours of both palettes as look.css has them."""
    light_css, dark_css = CSS.read_text().split("@media (prefers-color-scheme: dark)")
    dark_css = dark_css.split("}")[0]
    light = dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6})", light_css))
    return {"light": light, "dark": light | dict(re.findall(r"--([a-z-]+):\s*(#\w{6})", dark_css))}


PALETTES = palettes()


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [("#000000", 21.0), ("#767676", 4.5422), ("#777777", 4.4781), ("#008000", 5.1374)],
)
def test_the_formula_gives_known_ratios_on_white(colour: str, ratio: float) -> None:
    """Grey #767676 is the lightest that reads on white, #777777 is not (WCAG 2.2's formula)."""
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize("palette", ["light", "dark"])
def test_every_text_colour_reads_on_every_ground(palette: str) -> None:
    """4.5:1 at least, for each of the text colours on each of the grounds (SC 1.4.3)."""
    colours = PALETTES[palette]
    poor = {
        (text, ground): round(contrast(colours[text], colours[ground]), 2)
        for text in TEXTS
        for ground in GROUNDS
        if contrast(colours[text], colours[ground]) < 4.5
    }
    assert not poor


@pytest.mark.parametrize("palette", ["light", "dark"])
def test_a_button_s_word_reads_on_the_button(palette: str) -> None:
    """The word on iron has 4.5:1, also where the button is hovered (12 % ink)."""
    colours = PALETTES[palette]
    mixed = [
        round(
            0.88 * int(colours["iron"][at : at + 2], 16)
            + 0.12 * int(colours["ink"][at : at + 2], 16)
        )
        for at in (1, 3, 5)
    ]
    for ground in (colours["iron"], "#" + "".join(f"{channel:02x}" for channel in mixed)):
        assert contrast(colours["on-iron"], ground) >= 4.5


@pytest.mark.parametrize("palette", ["light", "dark"])
def test_the_edges_of_controls_can_be_seen(palette: str) -> None:
    """3:1 for the edge of a field and for what marks a state (SC 1.4.11)."""
    colours = PALETTES[palette]
    for shape in ("edge", "iron", "good", "warn"):
        for ground in GROUNDS[:3]:
            assert contrast(colours[shape], colours[ground]) >= 3


def test_the_dark_palette_is_one_of_its_own() -> None:
    """Every ground and text colour is named again for the dark."""
    for name in (*GROUNDS, *TEXTS, "edge", "plank", "line"):
        assert PALETTES["light"][name] != PALETTES["dark"][name]
