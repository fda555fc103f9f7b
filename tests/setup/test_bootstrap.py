"""The one way in: `manage.py` finds its environment, or says plainly why it can't."""

import ast
import os
import runpy
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.benchmarks import __main__ as benchmarks
from vendor import bootstrap, environment, testing
from vendor.environment import ROOT, CannotPrepare, Environment

MANAGE = ROOT / "manage.py"


@pytest.fixture
def outside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Environment:
    """An environment that is ready, but not the one this process runs in."""
    home = Environment(tmp_path / ".venv")
    home.python.parent.mkdir(parents=True)
    home.python.touch()
    monkeypatch.setattr(bootstrap, "Environment", lambda: home)
    monkeypatch.setattr(Environment, "make_ready", lambda self, wanted, say: None)
    return home


@pytest.fixture
def handed(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The command lines that were handed over, instead of running them."""
    lines: list[list[str]] = []

    def hand_over(command: Sequence[str], surroundings: object) -> int:
        lines.append(list(command))
        return 7

    monkeypatch.setattr(bootstrap, "hand_over", hand_over)
    monkeypatch.setattr(testing, "hand_over", hand_over)
    return lines


def test_a_command_runs_again_inside_the_environment(
    outside: Environment, handed: list[list[str]]
) -> None:
    """With the same arguments, and its exit status comes back."""
    assert bootstrap.main(["manage.py", "migrate", "--plan"]) == 7
    assert handed == [[str(outside.python), str(MANAGE), "migrate", "--plan"]]


def test_it_does_not_start_itself_for_ever(
    outside: Environment,
    handed: list[list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """An environment whose Python isn't its own is told, not tried again and again."""
    monkeypatch.setenv(bootstrap.INSIDE, str(outside.folder))
    assert bootstrap.main(["manage.py", "migrate"]) == 1
    assert not handed
    assert "Delete that folder" in capsys.readouterr().err


@pytest.mark.parametrize(("command", "wanted"), [("test", "test"), ("start", "run")])
def test_each_command_asks_for_its_packages(
    command: str,
    wanted: str,
    outside: Environment,
    handed: list[list[str]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Only the tests need what the tests need."""
    asked: list[str] = []
    monkeypatch.setattr(Environment, "make_ready", lambda self, name, say: asked.append(name))
    bootstrap.main(["manage.py", command])
    assert asked == [wanted]


def test_a_refusal_is_a_sentence(
    outside: Environment, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No traceback, and a status that scripts can see."""

    def refuse(self: Environment, wanted: str, say: object) -> None:
        raise CannotPrepare("There is no room.")

    monkeypatch.setattr(Environment, "make_ready", refuse)
    assert bootstrap.main(["manage.py", "start"]) == 1
    assert capsys.readouterr().err == "There is no room.\n"


def test_ctrl_c_while_installing_is_quiet(
    outside: Environment, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says how to go on."""

    def stop(self: Environment, wanted: str, say: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Environment, "make_ready", stop)
    assert bootstrap.main(["manage.py", "start"]) == 130
    assert "Run the same command again" in capsys.readouterr().err


@pytest.mark.parametrize("argv", [["manage.py"], ["manage.py", "help"], ["manage.py", "--help"]])
def test_asking_for_help_installs_nothing(
    argv: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """On a fresh machine, help names the two commands."""
    monkeypatch.setattr(bootstrap, "Environment", lambda: Environment(tmp_path / ".venv"))
    assert bootstrap.main(argv) == 0
    told = capsys.readouterr().out
    assert "manage.py start" in told
    assert "manage.py test" in told
    assert list(tmp_path.iterdir()) == []


def test_inside_other_commands_are_djangos(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`manage.py check` is Django's own."""
    monkeypatch.setattr(Environment, "make_ready", lambda self, wanted, say: None)
    monkeypatch.setattr(Environment, "is_active", lambda self: True)
    assert bootstrap.main(["manage.py", "check"]) == 0
    assert "no issues" in capsys.readouterr().out


def test_too_old_a_python_gets_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """It says which Python is needed."""
    monkeypatch.setattr(sys, "version_info", (3, 10, 13))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer, and this is Python 3\.10"):
        runpy.run_path(str(MANAGE), run_name="__main__")


def test_too_old_a_python_can_read_that_far() -> None:
    """The way in is written in words that Python 3.7 knows."""
    ast.parse(MANAGE.read_text(encoding="utf-8"), feature_version=(3, 7))


@pytest.mark.parametrize("module", [bootstrap, environment, testing])
def test_what_runs_first_needs_nothing_installed(module: object) -> None:
    """Its modules import the standard library and each other, no more."""
    own = {"vendor.environment", "vendor.bootstrap", "vendor.testing", "vendor.house.errors"}
    source = Path(str(vars(module)["__file__"])).read_text(encoding="utf-8")
    tree = ast.parse(source)
    imported = {
        alias.name for node in tree.body if isinstance(node, ast.Import) for alias in node.names
    } | {node.module or "" for node in tree.body if isinstance(node, ast.ImportFrom)}
    outside = {name for name in imported - own if name.split(".")[0] not in sys.stdlib_module_names}
    assert not outside


def test_the_whole_suite_uses_every_processor() -> None:
    """Up to four; a single test runs by itself, so that it can be watched."""
    assert testing.command([], 2)[-2:] == ["-n", "2"]
    assert testing.command([], 16)[-2:] == ["-n", "4"]
    assert testing.command([], 1)[-1] == "pytest"
    assert testing.command(["tests/fairs", "-x"], 4)[-2:] == ["tests/fairs", "-x"]


def test_the_suite_can_run_on_postgresql() -> None:
    """The server is started around the same command line."""
    line = testing.command(["--postgres"], 2)
    assert line[:3] == [sys.executable, "-m", "tests.postgres"]
    assert line[3:] == [*testing.command([], 2), "--reuse-db"]
    assert testing.command(["-k", "one", "--postgres"], 2)[-3:-1] == ["-k", "one"]


def test_measurements_run_by_choice_only() -> None:
    """All of them, or those named; an unknown name is told."""
    assert testing.command(["--benchmarks"], 2) == [sys.executable, "-m", "tests.benchmarks"]
    assert testing.command(["--benchmarks", "tags"], 2)[-2:] == ["tests.benchmarks", "tags"]
    assert "demand" in benchmarks.KNOWN
    assert benchmarks.main(["glaze"]) == 2


def test_a_test_run_never_sees_the_potters_settings(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The tests' own settings, with a data folder of their own, are used whatever was set."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("DJANGO_SETTINGS_MODULE", "vendor.settings")
    seen: list[dict[str, str]] = []

    def hand_over(command: Sequence[str], surroundings: dict[str, str]) -> int:
        seen.append(surroundings)
        return 0

    monkeypatch.setattr(testing, "hand_over", hand_over)
    assert testing.main(["--collect-only"]) == 0
    assert "DJANGO_SETTINGS_MODULE" not in seen[0]
    assert Path(os.getcwd()) == ROOT  # noqa: PTH109
