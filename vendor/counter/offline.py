"""The service worker: which files make the page at the stall, and which edition they are."""

import hashlib
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse

FOLDERS, KINDS = ("counter", "wareboard"), (".css", ".js", ".svg", ".webmanifest")
_WORKER = "counter/worker.js"


@cache
def worker() -> str:
    """Return the service worker's script: what to keep, of which edition, and how."""
    # The page comes first: the script knows it by its place.
    shell = [reverse("counter:sell"), *_addresses()]
    given = {"SHELL": shell, "NAMELESS": reverse("counter:nameless"), "EDITION": _edition()}
    kept = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in given.items())
    return kept + _path(_WORKER).read_text(encoding="utf-8")


def _names() -> list[str]:
    """Return the names of the static files that the page may need."""
    return [
        f"{folder}/{path.name}"
        for folder in FOLDERS
        for path in sorted(_path(folder).iterdir())
        if path.suffix in KINDS and f"{folder}/{path.name}" != _WORKER
    ]


def _addresses() -> list[str]:
    """Return where they are: as a page names them, and as modules import one another."""
    both = [address for name in _names() for address in (static(name), settings.STATIC_URL + name)]
    return list(dict.fromkeys(both))


def _edition() -> str:
    """Return a fingerprint of all that is kept: another one makes devices fetch it anew."""
    digest = hashlib.sha256()
    for name in [*_names(), _WORKER]:
        digest.update(_path(name).read_bytes())
    return digest.hexdigest()[:16]


def _path(name: str) -> Path:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    return Path(found)
