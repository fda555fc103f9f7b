"""The service worker keeps all that the page at the stall is made of."""

import json
import re
from pathlib import Path

import time_machine
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from tests.counter.stalls import NOW, Stall


def test_the_service_worker_names_every_file_of_the_page(stall: Stall) -> None:
    """What the page links and imports is among what is kept for starting offline."""
    worker = Client().get(reverse("counter:worker"))
    assert worker["Content-Type"].startswith("text/javascript")
    shell = json.loads(worker.content.decode().split("const SHELL = ")[1].split(";\n")[0])
    assert shell[0] == reverse("counter:sell")
    client = Client()
    with time_machine.travel(NOW, tick=False):
        client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
        page = client.get(reverse("counter:sell")).content.decode()
    linked = set(re.findall(r'(?:href|src)="(/static/[^"]+\.(?:css|js|svg|webmanifest))"', page))
    assert len(linked) >= 6
    assert linked <= set(shell)
    assert {f"/static/counter/{name}" for name in _imported("page.js")} <= set(shell)


def _imported(name: str) -> set[str]:
    """Return the modules of the counter that one imports, and those that they import."""
    found, new = set(), {name}
    while new:
        found |= new
        texts = [_text(each) for each in new]
        new = {each for text in texts for each in re.findall(r'from "\./([a-z0-9]+\.js)"', text)}
        new -= found
    return found


def _text(name: str) -> str:
    path = finders.find(f"counter/{name}")
    assert isinstance(path, str)
    return Path(path).read_text(encoding="utf-8")
