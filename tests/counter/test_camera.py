"""Scanning with the camera: a printed tag, held askew before the browser's own fake camera."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import BrowserType, Page, expect

from tests.browsing import PHONE, Faults
from tests.counter.stalls import Stall
from tests.counter.steps import opened, pay_exactly, sent
from tests.labels.reading import ANGLES, askew, cut_out, picture
from vendor.counter.models import Sale
from vendor.labels.known_sheets import KNOWN_SHEETS
from vendor.labels.pdf import draw_tags
from vendor.labels.placing import Printing
from vendor.labels.tags import TagText

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]

WIDTH, HEIGHT, DPI = 1280, 720, 300
# Frames a second, and for how many of them each angle is held.
RATE, HELD = 10, 10

# An honest stand-in for the reader that Linux browsers lack: it reads nothing before the picture
# is there, and notes the kinds of symbol that it was asked for.
NATIVE = """
globalThis.asked = null;
globalThis.BarcodeDetector = class {
  static async getSupportedFormats() { return ["code_128", "qr_code", "aztec"]; }
  constructor({ formats }) { globalThis.asked = formats; }
  async detect(video) { return video.videoWidth ? [{ rawValue: "BOWL-SHI" }] : []; }
};
"""
WITHOUT = "delete globalThis.BarcodeDetector;"
NO_CAMERA = 'Object.defineProperty(navigator, "mediaDevices", { value: undefined });'


def film(path: Path, code: str) -> Path:
    """Write a film of a printed tag as a camera sees it: grey, soft, askew, off the middle."""
    sheet = KNOWN_SHEETS[0]
    tag = TagText("Tumbler", "$34.00", code, "celadon", studio="Tansy Weir Pottery")
    page = picture(draw_tags([tag], sheet, Printing(DPI)), 1, DPI)
    label = cut_out(page, sheet.frame(1), DPI)
    colour = np.full((HEIGHT // 2) * (WIDTH // 2) * 2, 128, np.uint8).tobytes()
    with path.open("wb") as written:
        written.write(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F{RATE}:1 Ip A1:1 C420jpeg\n".encode())
        for angle in ANGLES:
            held = askew(label, angle)
            frame = Image.new("L", (WIDTH, HEIGHT), 170)
            frame.paste(held, (WIDTH // 2 - held.width // 2, HEIGHT // 2 - held.height // 2 + 20))
            for _ in range(HELD):
                written.write(b"FRAME\n" + frame.tobytes() + colour)
    return path


@pytest.fixture
def filmed(
    browser_type: BrowserType,
    browser_type_launch_args: dict[str, Any],
    live_server: Any,
    today: Stall,
    faults: Faults,
    log_in: Callable[[Page, Any], None],
    tmp_path: Path,
) -> Iterator[Callable[[str], Page]]:
    """A function that opens the stall on a phone whose camera sees a tag of the tumbler."""
    camera = (
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-video-capture={film(tmp_path / 'tag.y4m', 'TUM-CEL')}",
    )
    launch = browser_type_launch_args | {"args": [*browser_type_launch_args["args"], *camera]}
    with ExitStack() as stack:
        browser = browser_type.launch(**launch)
        stack.callback(browser.close)

        def open_with(script: str) -> Page:
            context = browser.new_context(base_url=live_server.url, locale="en-US", **PHONE)
            faults.watch(context)
            context.add_init_script(script)
            page = context.new_page()
            log_in(page, today.helper)
            opened(page)
            return page

        yield open_with


def test_a_printed_tag_is_read_and_rung_up_where_the_browser_has_no_reader(
    today: Stall, filmed: Callable[[str], Page]
) -> None:
    """Our own reader, from the film; the tag that stays in the picture is one piece."""
    page = filmed(WITHOUT)
    page.get_by_role("button", name="Camera").tap()
    expect(page.locator("#camera-said")).to_have_text("Tumbler, celadon: 1 in this sale")
    page.wait_for_timeout(1000)
    expect(page.locator("#camera-said")).to_have_text("Tumbler, celadon: 1 in this sale")
    page.get_by_role("button", name="Done").tap()
    pay_exactly(page)
    sent(page)
    assert [line.ware for line in Sale.objects.get().lines.all()] == [today.tumbler]
    page.goto("about:blank")


def test_the_browsers_own_reader_is_used_where_it_has_one(
    today: Stall, filmed: Callable[[str], Page]
) -> None:
    """What it reads is rung up; it is asked for those of our symbols that it knows."""
    page = filmed(NATIVE)
    page.get_by_role("button", name="Camera").tap()
    expect(page.locator("#camera-said")).to_have_text("Berry bowl, shino: 1 in this sale")
    assert page.evaluate("globalThis.asked") == ["code_128", "qr_code"]
    page.get_by_role("button", name="Done").tap()
    expect(page.locator("#total")).to_have_text("$49.34")
    page.goto("about:blank")


def test_a_device_without_a_camera_is_offered_none(
    today: Stall, filmed: Callable[[str], Page]
) -> None:
    """The button isn't there; codes can be typed."""
    page = filmed(NO_CAMERA)
    expect(page.locator("#seek")).to_be_visible()
    expect(page.locator("#scan")).to_be_hidden()
    page.goto("about:blank")


def test_a_camera_that_is_refused_says_what_to_do(today: Stall, counter: Page) -> None:
    """The browser of the other tests has no camera to give: type the code."""
    counter.get_by_role("button", name="Camera").tap()
    expect(counter.locator("#camera-said")).to_have_text(
        "The camera can't be used: allow it for this page, or type the code."
    )
