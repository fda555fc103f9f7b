"""How long the last tap of a sale takes until "Taken" stands on the screen, without a network.

Run it with `python -m tests.benchmarks.bench_counter_taps`. The page sells from a stall of 500
ware, has 1,000 sales of the day in its outbox that are not sent, and no network. Each sale is three
real taps by the browser's own touch input. Measured is the last one, by the browser's own clock:
from the moment the finger lifted (the pointer event's own time) to the sale written in the
browser's database on the disk, to "Taken" in the page, and to the frame with it painted. A screen
of sixty frames a second has one every 16.7 ms, and a tap comes anywhere between two: what is shown
within 16.7 ms of the tap is in the next frame or the one after it.
"""

import json
import os
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

WARE, UNSENT, SALES = 500, 1_000, 40
FRAME = 1000 / 60
PHONE = {
    "viewport": {"width": 412, "height": 915},
    "device_scale_factor": 2,
    "has_touch": True,
    "is_mobile": True,
}
# Notes when the finger lifts, when the outbox is written, when the page says "Taken", and when the
# frame with that was made; a task after a frame's last callback runs once the frame is painted.
WATCH = """
globalThis.taps = [];
let tap = null;
document.addEventListener("pointerup", (event) => { tap = { lifted: event.timeStamp }; }, true);
const clicked = () => { if (tap) tap.clicked ??= performance.now(); };
document.addEventListener("click", clicked, true);
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (...given) {
  const mine = tap;
  if (mine) mine.put ??= performance.now();
  const written = () => { mine.written ??= performance.now(); };
  if (mine) this.transaction.addEventListener("complete", written);
  return put.apply(this, given);
};
document.addEventListener("DOMContentLoaded", () => {
  const last = document.getElementById("last");
  if (!last) return;
  new MutationObserver(() => {
    if (last.hidden || !tap || tap.shown) return;
    const mine = tap;
    mine.shown = performance.now();
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => { mine.painted = performance.now(); globalThis.taps.push(mine); };
      port2.postMessage("");
    });
  }).observe(last, { attributes: true, attributeFilter: ["hidden"] });
});
"""
FILL = """async (items) => {
  const database = await new Promise((resolve) => {
    const request = indexedDB.open("wareboard-counter");
    request.onsuccess = () => resolve(request.result);
  });
  const transaction = database.transaction("items", "readwrite");
  for (const item of items) transaction.objectStore("items").put(item);
  await new Promise((resolve) => { transaction.oncomplete = resolve; });
  database.close();
}"""


def main() -> None:
    """Lay out a throw-away stall, serve it, and take sales on it with real taps."""
    with tempfile.TemporaryDirectory(prefix="wareboard-bench-") as folder:
        os.environ |= {"WAREBOARD_DATA": folder, "DJANGO_SETTINGS_MODULE": "vendor.settings"}
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
        os.environ.pop("DATABASE_URL", None)
        _measure(Path(folder))


def _measure(folder: Path) -> None:
    import django
    from cheroot.wsgi import Server

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    from vendor.wsgi import application

    stall = _stall()
    server = Server(("127.0.0.1", 0), application)
    server.prepare()
    threading.Thread(target=server.serve, daemon=True).start()
    try:
        for slower in (1, 4):
            site = f"http://127.0.0.1:{server.bind_addr[1]}"
            taps = _taken(site, stall, folder / f"browser-{slower}", slower)
            _tell(taps, slower)
    finally:
        server.stop()


def _stall() -> Any:
    """Return the tests' stall, on today, with so many ware that have three pieces each."""
    from tests.counter.conftest import on_today
    from tests.counter.stalls import Stall
    from tests.factories import FinishFactory, FormFactory, PriceFactory, WareFactory, stocked

    stall = Stall()
    on_today(stall)
    finishes = [FinishFactory(code=f"F{at}", name=f"finish {at}") for at in range(20)]
    for each in range(WARE // len(finishes)):
        form = FormFactory(code=f"FORM{each}", name=f"Form {each}")
        for finish in finishes:
            ware = WareFactory(form=form, finish=finish)
            PriceFactory(tier=stall.tier, ware=ware, amount=3400, set_by=stall.owner)
            stocked(ware, 3, at=stall.place, who=stall.owner)
    return stall


def _taken(site: str, stall: Any, profile: Path, slower: int) -> list[dict[str, float]]:
    """Take the sales, on a processor so many times slower, and return each last tap's moments."""
    from playwright.sync_api import sync_playwright

    from tests import tools
    from tests.browsing import FLAGS

    with sync_playwright() as playwright:
        # A profile of its own on the disk: what a private window keeps is only in the memory.
        context = playwright.chromium.launch_persistent_context(
            profile, executable_path=tools.chromium(), args=list(FLAGS), base_url=site, **PHONE
        )
        context.add_cookies([_session(stall.helper, site)])
        context.add_init_script(WATCH)
        page = context.new_page()
        _open(page)
        page.evaluate(FILL, _items(stall))
        context.set_offline(True)
        _open(page)
        speed = context.new_cdp_session(page)
        speed.send("Emulation.setCPUThrottlingRate", {"rate": slower})
        for _ in range(SALES):
            _sell(page)
        taps: list[dict[str, float]] = page.evaluate("globalThis.taps")
        assert len(taps) == SALES, f"{len(taps)} of {SALES} taps were seen to their end"
        kept = page.locator("#state").inner_text()
        assert str(UNSENT + SALES) in kept.replace(",", ""), kept
        context.close()
    return taps


def _open(page: Any) -> None:
    from playwright.sync_api import expect

    page.goto("/sell/")
    expect(page.locator("#sell[data-offline]")).to_be_attached(timeout=60_000)


def _sell(page: Any) -> None:
    page.locator("#tiles button").nth(7).tap()
    page.locator("#cash:enabled").tap()
    page.locator("#tenders button").first.tap()
    page.locator("#last").wait_for(state="visible")
    # A customer takes longer than that; what the page draws after a sale is done by then.
    page.wait_for_timeout(700)


def _session(user: Any, site: str) -> Any:
    from django.conf import settings
    from django.test import Client

    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": site}


def _items(stall: Any) -> list[dict[str, Any]]:
    """Return items of the outbox: sales of this day, an hour's worth of them after another."""
    from vendor.house import clock

    at = clock.now().isoformat()
    items = []
    for _ in range(UNSENT):
        document = stall.document((stall.tumbler, 1), (stall.bowl, 2), sold_at=at)
        document["seller"] = stall.helper.pk
        items.append(
            {
                "key": document["key"], "kind": "sales", "document": document, "state": "unsent",
                "number": None, "reason": "", "at": at, "received": document["figures"]["total"],
                "what": "1 × Tumbler, celadon, 2 × Berry bowl, shino",
            }
        )  # fmt: skip
    return json.loads(json.dumps(items))


def _tell(taps: Sequence[dict[str, float]], slower: int) -> None:
    """Write the middle, the nineteenth of twenty and the longest of each stretch."""
    sys.stdout.write(f"{SALES} sales, processor {slower} times slower than it is:\n")
    for name, label in (
        ("clicked", "told to the page"),
        ("put", "given to be written"),
        ("written", "written on the disk"),
        ("shown", "“Taken” in the page"),
        ("painted", "“Taken” on the screen"),
    ):
        took = sorted(tap[name] - tap["lifted"] for tap in taps)
        within = sum(each <= FRAME for each in took)
        middle, late = took[len(took) // 2], took[len(took) * 19 // 20]
        told = f"{middle:7.1f} ms, 19 of 20 in {late:7.1f} ms, at most {took[-1]:7.1f} ms"
        sys.stdout.write(f"  {label:<24}{told}; {within} within {FRAME:.1f} ms\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
