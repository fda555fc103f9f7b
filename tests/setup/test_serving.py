"""Serving: the port, the addresses, the pages' files, and a clean end."""

import socket
import threading
import urllib.request
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest

from vendor import serving
from vendor.serving import CannotListen


def _hello(environ: dict[str, Any], answer: Callable[..., Any]) -> Iterable[bytes]:
    answer("200 OK", [("Content-Type", "text/plain")])
    return [b"a row of pots"]


def test_it_answers_and_ends_cleanly(monkeypatch: pytest.MonkeyPatch) -> None:
    """A request that comes while the set-up still runs waits, and is answered."""
    monkeypatch.setattr("signal.signal", lambda number, handler: None)
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
    with serving.listening("127.0.0.1", port) as server:
        answers: list[bytes] = []

        def ask() -> None:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=20) as answer:
                    answers.append(answer.read())
            finally:
                server.interrupt = KeyboardInterrupt()

        early = threading.Thread(target=ask)
        early.start()
        serving.serve(server, _hello)
        early.join()
    assert answers == [b"a row of pots"]
    with serving.listening("127.0.0.1", port):
        pass  # the port is free again


def test_a_taken_port_is_told() -> None:
    """It names the likely cause and the way out."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with (
            pytest.raises(CannotListen, match=rf"Port {port} is taken.*--port {port + 1}"),
            serving.listening("127.0.0.1", port),
        ):
            pytest.fail("it listened on a port that was taken")


@pytest.mark.parametrize(("host", "port"), [("203.0.113.7", 0), ("127.0.0.1", 70000)])
def test_an_address_of_another_computer_is_told(host: str, port: int) -> None:
    """So is a port that no computer has."""
    with pytest.raises(CannotListen, match="can listen on"), serving.listening(host, port):
        pytest.fail("it listened on an address that isn't here")


def test_an_administrators_port_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small port numbers are kept for the administrator on many systems."""

    def deny(self: object, *arguments: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("cheroot.wsgi.Server.bind", deny)
    with pytest.raises(CannotListen, match="administrator"), serving.listening("127.0.0.1", 80):
        pytest.fail("it listened on a port that was denied")


@pytest.mark.parametrize(
    ("host", "alone"),
    [
        ("127.0.0.1", True),
        ("127.0.0.53", True),
        ("localhost", True),
        ("::1", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.0.2.10", False),
        ("stall.example", False),
    ],
)
def test_it_knows_who_can_reach_an_address(host: str, alone: bool) -> None:
    """The warnings for a network aren't shown to somebody who is on their own."""
    assert serving.is_loopback(host) is alone


def test_it_tells_the_address_on_the_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """A phone needs this computer's address, not the wildcard that was asked for."""
    monkeypatch.setattr(serving, "own_address", lambda: "192.0.2.10")
    assert serving.names("0.0.0.0") == ["192.0.2.10", "localhost"]
    assert serving.names("127.0.0.1") == ["localhost"]
    assert serving.names("2001:db8::7") == ["[2001:db8::7]"]
    assert serving.names("stall.example") == ["stall.example"]


def test_without_a_network_there_is_no_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """A laptop in a field serves itself."""
    monkeypatch.setattr(serving, "NOWHERE", ("::1", 9))
    assert serving.own_address() is None
    assert serving.names("0.0.0.0") == ["localhost"]


def test_it_answers_to_the_names_it_tells(monkeypatch: pytest.MonkeyPatch) -> None:
    """Django refuses requests for other host names; a wildcard is never among those allowed."""
    monkeypatch.setattr(serving, "own_address", lambda: "192.0.2.10")
    allowed = ["localhost"]
    serving.answer_to("0.0.0.0", allowed)
    assert allowed == ["localhost", "192.0.2.10"]
    serving.answer_to("stall.example", allowed)
    assert allowed == ["localhost", "192.0.2.10", "stall.example"]


def test_the_pages_files_are_collected_when_they_change(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    """Once, and again only after a change: that is most of a start's time."""
    source = tmp_path / "source"
    source.mkdir()
    (source / "look.css").write_text("body {}")
    settings.STATICFILES_DIRS = [source]
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STATIC_ROOT = tmp_path / "collected"
    note = tmp_path / "note"
    assert serving.collect_files(note)
    assert not serving.collect_files(note)
    (source / "look.css").write_text("body { color: black }")
    assert serving.collect_files(note)
    assert (tmp_path / "collected" / "look.css").read_text() == "body { color: black }"
