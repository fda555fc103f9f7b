"""`manage.py start`: from an unpacked folder to a page, as often as one likes."""

import io
import os
import re
import signal
import sqlite3
import subprocess
import sys
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError

from tests.factories import OwnerFactory, StudioFactory, UserFactory
from vendor import serving
from vendor.demo.load import logins
from vendor.environment import ROOT
from vendor.house.errors import Refused
from vendor.management.commands import start
from vendor.studio import backup


@contextmanager
def started(
    data: Path, *arguments: str
) -> Iterator[tuple[str, "subprocess.Popen[str]", list[str]]]:
    """Start Wareboard in a process of its own; yield its address, the process, what it said."""
    kept = {
        k: v for k, v in os.environ.items() if k not in {"DATABASE_URL", "WAREBOARD_SECRET_KEY"}
    }
    surroundings = {
        **kept,
        "WAREBOARD_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "vendor.settings",
    }
    line = [sys.executable, "-m", "django", "start", "--port", "0", *arguments]
    with subprocess.Popen(
        line,
        cwd=ROOT,
        env=surroundings,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        said: list[str] = []
        try:
            for text in process.stdout or ():
                said.append(text)
                if text.startswith("Ctrl-C"):
                    break
            match = re.search(r"http://\S+", "".join(said))
            assert match, "".join(said)
            yield match.group(), process, said
        finally:
            process.kill()


def _status(url: str) -> int:
    """Return the status that a page is answered with."""
    try:
        with urllib.request.urlopen(url, timeout=60) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


@pytest.mark.sqlite
def test_it_starts_serves_stops_and_starts_again(tmp_path: Path) -> None:
    """The first start makes everything; the second finds it made; both end cleanly."""
    with started(tmp_path, "--empty") as (url, process, said):
        assert "Bringing the database up to date" in "".join(said)
        assert "leads you through setting up your studio" in "".join(said)
        assert _status(url) < 500
        process.send_signal(signal.SIGTERM)
        rest, _ = process.communicate(timeout=60)
        assert "Stopped. What you entered is kept." in rest
        assert process.returncode == 0
    with started(tmp_path, "--empty") as (url, _, said):
        assert "Bringing" not in "".join(said)
        assert "Made the pages" not in "".join(said)
        assert _status(url) < 500


@pytest.mark.django_db
def test_an_up_to_date_database_lacks_no_step() -> None:
    """The tests' own database has every migration."""
    assert start.pending_changes() == 0


@pytest.mark.django_db
def test_a_database_is_empty_until_somebody_sets_it_up() -> None:
    """Neither a login nor a studio: only then may the demonstration be loaded."""
    assert start.is_empty()
    UserFactory()
    assert not start.is_empty()


@pytest.mark.django_db
def test_a_studio_alone_counts_as_set_up() -> None:
    """What a potter began isn't mixed with the demonstration."""
    StudioFactory()
    assert not start.is_empty()


@pytest.mark.django_db
def test_it_says_who_can_log_in() -> None:
    """The owners by name, not the helpers; and a way out for a forgotten password."""
    assert "Nobody has a login yet" in start.how_to_log_in()
    OwnerFactory(username="tansy")
    OwnerFactory(username="gone", is_active=False)
    UserFactory(username="robin")
    told = start.how_to_log_in()
    assert "Log in as tansy." in told
    assert "manage.py password tansy" in told
    assert "robin" not in told


@pytest.mark.django_db
def test_it_tells_the_demonstrations_passwords_while_they_stand() -> None:
    """They are no secret; once changed, they are nobody's business."""
    owner, _ = logins()
    tansy = OwnerFactory(username=owner.username)
    assert owner.password not in start.how_to_log_in()
    tansy.set_password(owner.password)
    tansy.save()
    assert start.how_to_log_in() == (
        f"Log in as {owner.username} (owner), password {owner.password}."
    )


@pytest.mark.sqlite
def test_the_demonstration_is_loaded_once_and_told(tmp_path: Path) -> None:
    """A start without words loads the season and says how to log in; so does the next one."""
    for loading in (True, False):
        with started(tmp_path) as (url, _, said):
            told = "".join(said)
            assert ("Loading the demonstration" in told) is loading
            assert all(login.password in told for login in logins())
            assert "network" not in told
            assert _status(url) == 200


@pytest.mark.django_db
def test_on_a_network_it_says_what_to_mind(monkeypatch: pytest.MonkeyPatch) -> None:
    """The address that phones use, what they lack without HTTPS, and who else can log in."""
    monkeypatch.setattr(serving, "own_address", lambda: "192.0.2.10")
    owner, _ = logins()
    OwnerFactory(username=owner.username, password=owner.password)
    told = _announced("0.0.0.0")
    assert "Wareboard is at  http://192.0.2.10:8000/" in told
    assert "http://localhost:8000/  on this computer" in told
    assert "not encrypted" in told
    assert "only over HTTPS" in told
    assert "passwords are known to everyone" in told


@pytest.mark.django_db
def test_behind_an_https_server_no_browser_is_sent_to_it(settings: Any) -> None:
    """The address is for the server in front, and nothing warns of a missing HTTPS."""
    settings.HTTPS = True
    told = _announced("0.0.0.0")
    assert "Your HTTPS server finds Wareboard at" in told
    assert "not encrypted" not in told


def _announced(host: str) -> str:
    """Return what is said once Wareboard listens on a host's port 8000."""
    told = io.StringIO()
    start.Command(stdout=told)._announce(host, 8000)  # type: ignore[arg-type]
    return told.getvalue()


def test_a_database_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server that is down is a sentence, not a traceback."""

    def fail() -> int:
        raise OperationalError("connection refused")

    monkeypatch.setattr(start, "pending_changes", fail)
    with pytest.raises(Refused, match="The database does not answer: connection refused"):
        start.Command()._set_up(with_demo=False)


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_before_an_update_it_backs_up_what_there_is(
    monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path
) -> None:
    """An update goes one way: what stood there can be had back. The last five are kept."""
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    monkeypatch.setattr(start, "pending_changes", lambda: 1)
    monkeypatch.setattr(serving, "collect_files", lambda folder: False)
    StudioFactory()
    folder = tmp_path / "before-updates"
    folder.mkdir()
    for day in range(1, 7):
        (folder / f"2026-01-0{day}-120000.zip").write_text("older")
    said = io.StringIO()
    start.Command(stdout=said)._set_up(with_demo=False)
    kept = sorted(folder.iterdir())
    assert len(kept) == backup.KEPT
    assert [each.name for each in kept[:4]] == [f"2026-01-0{day}-120000.zip" for day in range(3, 7)]
    assert f"Backed up what there is, in {kept[-1]}" in said.getvalue()
    with zipfile.ZipFile(kept[-1]) as bundle:
        bundle.extract("wareboard.sqlite3", tmp_path)
    copy = sqlite3.connect(tmp_path / "wareboard.sqlite3")
    assert copy.execute("SELECT name FROM house_studio").fetchall() == [("Tansy Weir Pottery",)]
    copy.close()


@pytest.mark.django_db
@pytest.mark.parametrize(("changes", "there"), [(0, True), (1, False)])
def test_without_an_update_or_anything_in_it_nothing_is_backed_up(
    monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path, changes: int, there: bool
) -> None:
    """A first start has nothing to lose, and a usual one changes nothing."""
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(start, "pending_changes", lambda: changes)
    monkeypatch.setattr(start, "call_command", lambda *_, **__: None)
    monkeypatch.setattr(serving, "collect_files", lambda folder: False)
    if there:
        StudioFactory()
    start.Command(stdout=io.StringIO())._set_up(with_demo=False)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_without_a_backup_there_is_no_update(
    monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path
) -> None:
    """A full disk is told, and the database stays as it was."""
    settings.DATA_DIR = tmp_path
    (tmp_path / "before-updates").write_text("a file where the folder should be")
    monkeypatch.setattr(start, "pending_changes", lambda: 1)
    monkeypatch.setattr(start, "call_command", lambda *_, **__: pytest.fail("updated"))
    StudioFactory()
    with pytest.raises(Refused, match="No backup could be written"):
        start.Command(stdout=io.StringIO())._set_up(with_demo=False)
