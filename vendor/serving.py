"""Serves Wareboard: listens, knows its own addresses, keeps the pages' files ready.

Must not know what the pages are about.
"""

import contextlib
import errno
import hashlib
import importlib
import ipaddress
import signal
import socket
import threading
from collections.abc import Iterator, MutableSequence
from pathlib import Path
from typing import Any, NoReturn

from cheroot import wsgi
from django.contrib.staticfiles import finders
from django.core.management import call_command

from vendor.house.errors import Refused

# More phones at once than any stall has; SQLite takes their sales one after the other.
THREADS = 20
WILDCARDS = {"0.0.0.0", "::", ""}  # noqa: S104 - compared with, not listened on
# An address kept for documentation (RFC 5737). Asking which way leads there tells this computer's
# own address on its network; nothing is sent.
NOWHERE = ("192.0.2.1", 9)


# What some pages import only when they need it, since it takes about a second: brought in beside
# the first requests, so that nobody waits for it.
SLOW_TO_IMPORT = ("scipy.special", "scipy.optimize", "reportlab.pdfgen.canvas")


class CannotListen(Refused):
    """The address or the port is not to be had on this computer."""


class Server(wsgi.Server):
    """Cheroot's server, which remembers why it could not listen."""

    refusal: OSError | None = None

    def bind(self, family: int, type: int, proto: int = 0) -> socket.socket:
        """Take the address; cheroot tries each that a name stands for."""
        try:
            taken: socket.socket = super().bind(family, type, proto)
        except OSError as error:
            self.refusal = error
            raise
        return taken


@contextlib.contextmanager
def listening(host: str, port: int) -> Iterator[Server]:
    """Take the port at once, before anything else is done; who calls meanwhile waits.

    Refuses, with CannotListen, a port that is taken or an address of another computer.
    """
    if port not in range(65536):
        raise CannotListen(_why_not(host, port, None))
    server = Server(
        (host, port), None, numthreads=THREADS, request_queue_size=64, server_name="wareboard"
    )
    try:
        server.prepare()
    except OSError as error:
        raise CannotListen(_why_not(host, port, server.refusal or error)) from error
    try:
        yield server
    finally:
        server.stop()


def serve(server: Server, application: Any) -> None:
    """Answer requests until Ctrl-C, or until the system asks the program to end."""

    def end(number: int, frame: object) -> NoReturn:
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, end)
    server.wsgi_app = application
    threading.Thread(target=_import_what_is_slow, daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        server.serve()


def _import_what_is_slow() -> None:
    for module in SLOW_TO_IMPORT:
        importlib.import_module(module)


def _why_not(host: str, port: int, error: OSError | None) -> str:
    """Say why an address cannot be listened on, and what to do."""
    number = error.errno if error else None
    if number == errno.EADDRINUSE:
        return (
            f"Port {port} is taken: perhaps Wareboard runs already, in another window. Look at "
            f"http://localhost:{port}/, or choose another port: --port {port + 1}. "
            "Nothing was changed."
        )
    if number == errno.EACCES:
        return (
            f"This computer keeps port {port} for its administrator. Choose one above 1023, "
            "for example --port 8000. Nothing was changed."
        )
    return (
        f"“{host}” with port {port} is not an address that this computer can listen on. Leave "
        "--host out to serve this computer alone, or say --host 0.0.0.0 to serve its whole "
        "network; ports go from 1 to 65535. Nothing was changed."
    )


def is_loopback(host: str) -> bool:
    """Whether an address can be reached from this computer only."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def names(host: str) -> list[str]:
    """Return the names under which a server that listens on `host` is reached, best first."""
    if is_loopback(host):
        return ["localhost"]
    if host in WILDCARDS:
        return [*filter(None, [own_address()]), "localhost"]
    return [f"[{host}]" if ":" in host else host]


def own_address() -> str | None:
    """Return this computer's own address on its network; None without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)
        except OSError:
            return None
        address: str = probe.getsockname()[0]
        return address


def answer_to(host: str, allowed: MutableSequence[str]) -> None:
    """Add the names of a server that listens on `host` to the host names it answers to."""
    allowed.extend(name for name in [host, *names(host)] if name not in {*allowed, *WILDCARDS})


def collect_files(note: Path) -> bool:
    """Bring the pages' files (styles, scripts, fonts) up to date; return whether that was needed.

    `note` is the file that remembers what was collected last. Everything is collected anew, since
    an update may bring files whose dates are older than those they replace.
    """
    signature = _files_signature()
    if note.exists() and note.read_text(encoding="utf-8") == signature:
        return False
    call_command("collectstatic", clear=True, interactive=False, verbosity=0)
    note.write_text(signature, encoding="utf-8")
    return True


def _files_signature() -> str:
    """Return a text that changes whenever one of the pages' files does."""
    digest = hashlib.sha256()
    for finder in finders.get_finders():
        for name, storage in finder.list([]):
            state = Path(storage.path(name)).stat()
            digest.update(f"{name} {state.st_size} {state.st_mtime_ns}\n".encode())
    return digest.hexdigest()
