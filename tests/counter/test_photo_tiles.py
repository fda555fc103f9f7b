"""A ware with a photo is shown by it, with its name and price; its seconds too."""

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.counter.stalls import Stall
from tests.counter.steps import opened, tile
from vendor.house import clock
from vendor.ware import photos

# What the browser does and keeps does not depend on the database: once is enough.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.sqlite,
    pytest.mark.django_db(transaction=True),
]


def test_a_tile_has_the_photo_the_name_and_the_price(
    today: Stall, counter: Page, settings: Any, tmp_path: Path
) -> None:
    """In place of the drawn pot, which ware without a photo keeps."""
    settings.MEDIA_ROOT = tmp_path
    taken = BytesIO()
    Image.new("RGB", (40, 30), "teal").save(taken, "JPEG")
    taken.seek(0)
    content = photos.redrawn(taken, len(taken.getvalue()))
    photos.put_photo(ware=today.tumbler, content=content, who=today.owner, now=clock.now())
    opened(counter)
    shown = tile(counter, "Tumbler")
    expect(shown).to_contain_text("celadon")
    expect(shown.locator(".price")).to_have_text("34.00")
    expect(shown.locator("img")).to_have_js_property("naturalWidth", 40)
    expect(tile(counter, "Berry bowl").locator("img")).to_have_count(0)
    expect(tile(counter, "Berry bowl").locator("svg")).to_have_count(1)
