"""The project's own environment: when it's made, mended, left alone or refused."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from vendor import environment
from vendor.environment import CannotPrepare, Environment

OFFLINE = "WARNING: Retrying after connection broken by 'NewConnectionError(…)'\nERROR: No matching"
TAMPERED = "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE."
FULL = "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device"
UNKNOWN = "ERROR: Could not find a version that satisfies the requirement numpy==2.4.6"


class Said(list[str]):
    """What was told to the person at the screen."""

    def text(self) -> str:
        """Return it as one text."""
        return "\n".join(self)


@pytest.fixture
def locks(tmp_path: Path) -> Path:
    """Two lock files of made-up packages."""
    folder = tmp_path / "locks"
    folder.mkdir()
    (folder / "run.txt").write_text("clay==1.0 \\\n    --hash=sha256:00\n")
    (folder / "test.txt").write_text("clay==1.0 \\\n    --hash=sha256:00\nwitness==2.0 \\\n")
    return folder


@pytest.fixture
def home(tmp_path: Path, locks: Path, monkeypatch: pytest.MonkeyPatch) -> Environment:
    """An environment that isn't there yet, which takes no time and no network to make."""

    class Builder:
        def __init__(self, **options: object) -> None:
            self.options = options

        def create(self, folder: Path) -> None:
            python = Environment(Path(folder)).python
            python.parent.mkdir(exist_ok=True)
            python.touch()

    monkeypatch.setattr("venv.EnvBuilder", Builder)
    monkeypatch.setattr(Environment, "_pip", lambda *args: (["Collecting clay\n"], False))
    return Environment(tmp_path / ".venv", locks)


def _pip_that(does: Callable[[], tuple[list[str], bool]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Environment, "_pip", lambda *args: does())


def test_the_first_run_makes_and_fills_it(home: Environment) -> None:
    """It says what it does while it does it, and the environment is ready afterwards."""
    said = Said()
    assert home.state("run") == "absent"
    home.make_ready("run", said.append)
    assert home.state("run") == "ready"
    assert "Making a place" in said.text()
    assert "Installing" in said.text()


def test_a_warm_run_installs_nothing(home: Environment) -> None:
    """A right stamp skips everything, silently."""
    home.make_ready("run", Said().append)
    said = Said()
    home.make_ready("run", said.append)
    assert not said


def test_the_tests_packages_include_those_to_run(home: Environment) -> None:
    """After `test`, `start` has nothing to install; after `start`, `test` has."""
    home.make_ready("run", Said().append)
    assert home.state("test") == "stale"
    home.make_ready("test", Said().append)
    assert home.state("test") == home.state("run") == "ready"


def test_a_changed_lock_is_installed_into_the_same_place(home: Environment) -> None:
    """What is there is brought up to date, without starting afresh."""
    home.make_ready("run", Said().append)
    keepsake = home.folder / "keepsake"
    keepsake.touch()
    with (home.locks / "run.txt").open("a") as lock:
        lock.write("slip==1.0\n")
    assert home.state("run") == "stale"
    home.make_ready("run", Said().append)
    assert home.state("run") == "ready"
    assert keepsake.exists()


def test_line_ends_do_not_change_a_lock(home: Environment) -> None:
    """A checkout that turned the line ends is the same set of packages."""
    home.make_ready("run", Said().append)
    lock = home.locks / "run.txt"
    lock.write_bytes(lock.read_bytes().replace(b"\n", b"\r\n"))
    assert home.state("run") == "ready"


def test_another_python_gets_an_environment_anew(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Packages of one Python are of no use to another."""
    home.make_ready("run", Said().append)
    monkeypatch.setattr(environment, "_python_line", lambda: "python 3.99 CPython x86_64")
    assert home.state("run") == "broken"
    keepsake = home.folder / "keepsake"
    keepsake.touch()
    home.make_ready("run", Said().append)
    assert home.state("run") == "ready"
    assert not keepsake.exists()


def test_an_environment_whose_python_is_gone_is_made_anew(home: Environment) -> None:
    """The system's Python was removed or moved."""
    home.make_ready("run", Said().append)
    home.python.unlink()
    assert home.state("run") == "broken"
    home.make_ready("run", Said().append)
    assert home.state("run") == "ready"


def test_an_interrupted_installation_starts_afresh(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half an installation is never taken for a whole one."""

    def interrupted() -> tuple[list[str], bool]:
        (home.folder / "half-a-package").mkdir()
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        _pip_that(interrupted, patch)
        with pytest.raises(KeyboardInterrupt):
            home.make_ready("run", Said().append)
    assert home.state("run") == "broken"
    home.make_ready("run", Said().append)
    assert home.state("run") == "ready"
    assert not (home.folder / "half-a-package").exists()


def test_an_interrupted_update_starts_afresh(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A set that was whole isn't trusted once another one was begun on top of it."""
    home.make_ready("run", Said().append)
    with monkeypatch.context() as patch:
        _pip_that(lambda: (["no"], True), patch)
        with pytest.raises(CannotPrepare):
            home.make_ready("test", Said().append)
    assert home.state("run") == "broken"


@pytest.mark.parametrize(
    ("printed", "sentence"),
    [
        (OFFLINE, "no way to the internet"),
        (TAMPERED, "not the one that was tested"),
        (FULL, "The disk is full"),
        (UNKNOWN, "none of them for this computer"),
    ],
)
def test_a_failed_installation_is_explained(
    printed: str, sentence: str, home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sentence says what is wrong and what to do; pip's own words are kept in a file."""
    _pip_that(lambda: ([printed], True), monkeypatch)
    with pytest.raises(CannotPrepare, match=sentence) as refused:
        home.make_ready("run", Said().append)
    assert str(home.log) in refused.value.message
    assert home.log.read_text(encoding="utf-8") == printed


@pytest.mark.parametrize("lacking", ["venv", "ensurepip"])
def test_a_python_that_cannot_make_environments_is_told(
    lacking: str, home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some systems ship Python without these modules; the sentence says how to get them."""
    monkeypatch.setattr(environment, "_has_module", lambda name: name != lacking)
    with pytest.raises(CannotPrepare, match=f"lacks {lacking}.*apt install python3-venv"):
        home.make_ready("run", Said().append)
    assert not home.folder.exists()


def test_a_python_whose_pip_cannot_be_unpacked_is_told(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same remedy helps."""

    def fail(self: object, folder: Path) -> None:
        raise subprocess.CalledProcessError(1, "ensurepip")

    monkeypatch.setattr("venv.EnvBuilder.create", fail)
    with pytest.raises(CannotPrepare, match="python3-venv"):
        home.make_ready("run", Said().append)


def test_somebody_elses_folder_is_left_alone(home: Environment) -> None:
    """A `.venv` that Wareboard didn't make is refused, not emptied."""
    home.folder.mkdir()
    keepsake = home.folder / "keepsake"
    keepsake.touch()
    with pytest.raises(CannotPrepare, match="not made by Wareboard"):
        home.make_ready("run", Said().append)
    assert keepsake.exists()


def test_a_linked_environment_is_used_as_it_is(home: Environment, tmp_path: Path) -> None:
    """A developer who links an environment of their own looks after it, too."""
    (tmp_path / "own").mkdir()
    home.folder.symlink_to(tmp_path / "own")
    home.make_ready("test", Said().append)
    assert list((tmp_path / "own").iterdir()) == []


def test_a_folder_that_cannot_be_written_is_told(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A read-only place, or somebody else's folder."""

    def fail(self: object, **options: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", fail)
    with pytest.raises(CannotPrepare, match="cannot write in"):
        home.make_ready("run", Said().append)


def test_it_cannot_be_made_anew_from_inside(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody saws off the branch they sit on."""
    monkeypatch.setattr(sys, "prefix", str(home.folder))
    with pytest.raises(CannotPrepare, match="deactivate"):
        home.make_ready("run", Said().append)


def test_only_tested_ready_made_packages_are_installed(tmp_path: Path) -> None:
    """Hashes are required and nothing is compiled."""
    line = environment.pip_command(tmp_path / "python", tmp_path / "run.txt")
    assert "--require-hashes" in line
    assert line[line.index("--only-binary") + 1] == ":all:"
    assert line[-2:] == ["-r", str(tmp_path / "run.txt")]


def test_windows_keeps_its_python_elsewhere(
    home: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows has a Scripts folder where others have bin."""
    assert home.python == home.folder / "bin" / "python"
    monkeypatch.setattr(environment, "WINDOWS", True)
    assert home.python == home.folder / "Scripts" / "python.exe"


def test_pips_progress_is_told_in_plain_words(tmp_path: Path, locks: Path) -> None:
    """Real output of a process is counted; what it printed comes back whole."""
    home = Environment(tmp_path / ".venv", locks)
    lines = [*(f"Collecting clay{n}==1" for n in range(11)), "Installing collected packages"]
    program = "; ".join(f"print({line!r})" for line in lines)
    said = Said()
    output, failed = home._pip(
        locks / "test.txt", said.append, [sys.executable, "-c", program + "; raise SystemExit(3)"]
    )
    assert failed
    assert len(output) == 12
    assert said == ["  fetched 10 of about 2 packages", "  unpacking them"]
