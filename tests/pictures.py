"""Makes the README's pictures from the demo: `python -m tests.pictures`.

Real pages in Debian's Chromium, of the demonstration season as it stands on Wednesday 2 December
2026, made small enough to keep.
"""

import datetime
import os
import tempfile
import threading
from pathlib import Path

WEDNESDAY = datetime.datetime(2026, 12, 2, 14, tzinfo=datetime.UTC)
SATURDAY = datetime.datetime(2026, 12, 5, 16, tzinfo=datetime.UTC)
FOLDER = Path(__file__).parent.parent / "fixtures" / "pictures"
PHONE = {"width": 412, "height": 860}
LAPTOP = {"width": 1280, "height": 800}
# name, address, screen, palette, moment
PICTURES = (
    ("home", "/", LAPTOP, "light", WEDNESDAY),
    ("fire", "/fire/", LAPTOP, "light", WEDNESDAY),
    ("shelf", "/shelf/", PHONE, "light", WEDNESDAY),
    ("promises", "/promises/", PHONE, "light", WEDNESDAY),
    ("tags", "/tags/", LAPTOP, "light", WEDNESDAY),
    ("sell", "/sell/", PHONE, "light", SATURDAY),
    ("close", "/close/", LAPTOP, "light", WEDNESDAY),
    ("restock", "/restock/", LAPTOP, "light", WEDNESDAY),
    ("reports", "/reports/", LAPTOP, "light", WEDNESDAY),
)
COLOURS = 64


def main() -> None:
    """Load the demo into a throw-away folder, serve it, and take every picture."""
    os.environ["WAREBOARD_DATA"] = tempfile.mkdtemp(prefix="wareboard-pictures-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "vendor.settings"
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    import django
    import time_machine
    from cheroot.wsgi import Server
    from django.conf import settings
    from django.core.management import call_command

    # The browser's clock is not moved, so a cookie must not be told when it ends.
    settings.SESSION_EXPIRE_AT_BROWSER_CLOSE = True
    django.setup()
    from vendor.demo.load import load_demo

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    # The server looks for the static files once, when it is made.
    from vendor.wsgi import application

    load_demo(now=WEDNESDAY)
    server = Server(("127.0.0.1", 0), application)
    server.prepare()
    threading.Thread(target=server.serve, daemon=True).start()
    try:
        for name, path, screen, palette, moment in PICTURES:
            with time_machine.travel(moment):
                _take(f"http://127.0.0.1:{server.bind_addr[1]}", name, path, screen, palette)
    finally:
        server.stop()


def _take(site: str, name: str, path: str, screen: dict[str, int], palette: str) -> None:
    from PIL import Image
    from playwright.sync_api import sync_playwright

    from tests import tools
    from tests.browsing import FLAGS
    from vendor.demo.load import logins

    owner = logins()[0]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=tools.chromium(), args=list(FLAGS))
        page = browser.new_page(viewport=screen, color_scheme=palette)  # type: ignore[arg-type]
        page.goto(f"{site}/login/")
        page.fill("input[name=username]", owner.username)
        page.fill("input[name=password]", owner.password)
        page.click("main button[type=submit]")
        page.goto(site + path)
        page.wait_for_load_state("networkidle")
        FOLDER.mkdir(parents=True, exist_ok=True)
        target = FOLDER / f"{name}.png"
        page.screenshot(path=target)
        browser.close()
    with Image.open(target) as picture:
        picture.convert("RGB").quantize(COLOURS).save(target, optimize=True)


if __name__ == "__main__":
    main()
