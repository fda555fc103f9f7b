"""The project's own environment: a Python in `.venv` with the locked packages in it.

Runs before anything is installed, so it uses the standard library alone, and imports nothing of
the project that needs more. It writes inside `.venv` only.

The environment holds one of two sets of packages, each locked with hashes in `requirements/`:
`run` for `manage.py start` and every other command, `test` (which includes `run`) for
`manage.py test`. A stamp inside the environment says what it holds; while the stamp is right,
nothing is installed.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from vendor.house.errors import Refused

ROOT = Path(__file__).resolve().parent.parent
LOCKS = Path(__file__).resolve().parent / "requirements"
WINDOWS = os.name == "nt"
MEGABYTES = {"run": 100, "test": 200}  # about what is fetched, and at most
SETS = {"run": ("run.txt",), "test": ("run.txt", "test.txt")}

Say = Callable[[str], None]


class CannotPrepare(Refused):
    """The environment cannot be made here; the message says why, and what to do."""


class Environment:
    """A folder with a Python of its own, the packages in it, and the stamp that names them."""

    def __init__(self, folder: Path = ROOT / ".venv", locks: Path = LOCKS) -> None:
        self.folder = folder
        self.locks = locks
        self.stamp = folder / "wareboard-stamp"
        self.log = folder / "install.log"

    @property
    def python(self) -> Path:
        """The environment's own interpreter."""
        if WINDOWS:
            return self.folder / "Scripts" / "python.exe"
        return self.folder / "bin" / "python"

    def is_active(self) -> bool:
        """Whether this very process already runs inside the environment."""
        return Path(sys.prefix).resolve() == self.folder.resolve()

    def state(self, wanted: str) -> str:
        """Say how the environment stands to the wanted set.

        `ready`: holds it. `stale`: whole, but holds another one. `absent`: to be made. `broken`:
        an installation that was not finished, or one for another Python. `linked`: `.venv` is a
        link, so somebody's own environment, which is used as it is. `foreign`: not made here.
        """
        if self.folder.is_symlink():
            return "linked"
        if not self.folder.exists():
            return "absent"
        if not self.stamp.is_file():
            return "absent" if _is_empty(self.folder) else "foreign"
        held = self.stamp.read_text(encoding="utf-8").splitlines()
        if _python_line() not in held or not self.python.exists():
            return "broken"
        return "ready" if self._set_line(wanted) in held else "stale"

    def make_ready(self, wanted: str, say: Say) -> None:
        """Install the wanted set unless it is there already, saying what is done.

        Refuses, with CannotPrepare, where that is impossible. When interrupted, the next call
        starts afresh.
        """
        state = self.state(wanted)
        if state in {"ready", "linked"}:
            return
        if state == "foreign":
            raise CannotPrepare(
                f"The folder {self.folder} was not made by Wareboard, so it was left as it is. "
                "Move it away or delete it, then run the same command again."
            )
        begun = time.monotonic()
        try:
            if state != "stale":
                self._make(say)
            self._install(wanted, say)
        except OSError as error:
            raise CannotPrepare(
                f"Wareboard cannot write in {self.folder.parent}: {error}. Put the project in a "
                "folder of your own, on a disk with 1 GB to spare, and run the same command again."
            ) from error
        say(f"Installed in {time.monotonic() - begun:.0f} seconds. Next time this step is skipped.")

    def command(self, argv: Sequence[str]) -> list[str]:
        """Return the command line that runs `manage.py` with argv's arguments inside."""
        return [str(self.python), str(ROOT / "manage.py"), *argv[1:]]

    def _make(self, say: Say) -> None:
        """Make an environment without packages, in place of what was there."""
        if self.is_active():
            raise CannotPrepare(
                "The environment in .venv is not whole, and cannot be made anew from inside "
                "itself. Type `deactivate`, then run the same command again."
            )
        if missing := [name for name in ("venv", "ensurepip") if not _has_module(name)]:
            raise CannotPrepare(
                f"This Python lacks {' and '.join(missing)}, which make an environment for "
                "Wareboard's packages. On Debian or Ubuntu, type `sudo apt install python3-venv`; "
                "elsewhere, install Python with its own installer. Then run the same command again."
            )
        import venv

        say(f"Making a place for Wareboard's packages in {self.folder.name} (once) …")
        self.folder.mkdir(exist_ok=True)
        self._write_stamp()
        for old in self.folder.iterdir():
            if old.is_dir() and not old.is_symlink():
                shutil.rmtree(old)
            elif old != self.stamp:
                old.unlink()
        try:
            venv.EnvBuilder(with_pip=True, symlinks=not WINDOWS).create(self.folder)
        except subprocess.CalledProcessError as error:
            raise CannotPrepare(
                "This Python could not put its package installer into .venv. On Debian or Ubuntu, "
                "`sudo apt install python3-venv` mends it; then run the same command again."
            ) from error

    def _install(self, wanted: str, say: Say) -> None:
        """Install the wanted set with pip, and stamp the environment when it is whole."""
        lock = self.locks / SETS[wanted][-1]
        purpose = "runs on" if wanted == "run" else "runs on and is tested with"
        size = MEGABYTES[wanted]
        say(f"Installing the packages that Wareboard {purpose} (downloads up to {size} MB, once) …")
        self._write_stamp()
        output, failed = self._pip(lock, say, pip_command(self.python, lock))
        self.log.write_text("".join(output), encoding="utf-8")
        if failed:
            raise CannotPrepare(explain_failure("".join(output), self.log))
        self._write_stamp(*(name for name in SETS if name in (wanted, "run")))

    def _pip(self, lock: Path, say: Say, command: Sequence[str]) -> tuple[list[str], bool]:
        """Run pip's command on a lock file; return what it printed and whether it failed."""
        # Settings that would send the packages somewhere else than into the environment.
        elsewhere = {"PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PYTHONHOME"}
        surroundings = {key: value for key, value in os.environ.items() if key not in elsewhere}
        total = sum("==" in line for line in lock.read_text(encoding="utf-8").splitlines())
        output: list[str] = []
        count = 0
        with subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
            env=surroundings,
        ) as process:
            for line in process.stdout or ():
                output.append(line)
                if line.startswith(("Collecting ", "Processing ")):
                    count += 1
                    if count % 10 == 0:
                        say(f"  fetched {count} of about {total} packages")
                elif line.startswith("Installing collected"):
                    say("  unpacking them")
        return output, process.returncode != 0

    def _write_stamp(self, *sets: str) -> None:
        """Write what the environment holds; without a set: it is being worked on."""
        lines = [_python_line() if sets else "unfinished", *map(self._set_line, sets)]
        self.stamp.write_text("\n".join(lines) + "\n", encoding="utf-8")

    def _set_line(self, wanted: str) -> str:
        """Name a set by the content of its lock files."""
        digest = hashlib.sha256()
        for name in SETS[wanted]:
            # A checkout with other line ends is the same lock.
            digest.update((self.locks / name).read_bytes().replace(b"\r\n", b"\n"))
        return f"{wanted} {digest.hexdigest()}"


def pip_command(python: Path, lock: Path) -> list[str]:
    """Return the command line that installs a lock file: hashes required, nothing compiled."""
    flags = ["--require-hashes", "--only-binary", ":all:", "--progress-bar", "off"]
    quiet = ["--no-input", "--disable-pip-version-check", "--no-warn-script-location"]
    return [str(python), "-I", "-m", "pip", "install", *flags, *quiet, "-r", str(lock)]


def explain_failure(output: str, log: Path) -> str:
    """Turn what pip printed when it failed into a sentence about what to do."""
    text = output.lower()
    kept = f"Nothing of yours was changed; what was printed is kept in {log}."
    offline = ("newconnectionerror", "name resolution", "connection", "timed out", "getaddrinfo")
    if "do not match the hashes" in text:
        return (
            "A package that was fetched is not the one that was tested (its hash differs), so "
            f"nothing of it was used. Try again later or over another network. {kept}"
        )
    if "no space left" in text:
        return f"The disk is full. Make room for about 1 GB and run the same command again. {kept}"
    if any(sign in text for sign in offline):
        return (
            "The packages could not be fetched: there seems to be no way to the internet from "
            "here. Connect (this is needed only once), then run the same command again. " + kept
        )
    return (
        "The packages could not be installed. Most often there is none of them for this computer "
        f"or this Python ({platform.python_version()}); Python 3.11 to 3.13 are known to work. "
        + kept
    )


def hand_over(command: Sequence[str], surroundings: Mapping[str, str]) -> int:
    """Run a command in this process's place; return its exit status where that is impossible."""
    if not WINDOWS:
        os.execve(command[0], list(command), surroundings)  # noqa: S606
    # Windows cannot replace a process, so this one waits; Ctrl-C reaches the other one too.
    with subprocess.Popen(command, env=surroundings) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:
                continue


def _python_line() -> str:
    """Name this Python as far as packages care."""
    return "python {}.{} {} {}".format(
        *sys.version_info[:2], platform.python_implementation(), platform.machine()
    )


def _is_empty(folder: Path) -> bool:
    """Whether there is nothing in a folder."""
    return next(folder.iterdir(), None) is None


def _has_module(name: str) -> bool:
    """Whether this Python has a module."""
    return importlib.util.find_spec(name) is not None
