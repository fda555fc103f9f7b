"""A throw-away PostgreSQL for the tests, gone when they end.

    python -m tests.postgres COMMAND …   runs a command with DATABASE_URL naming it
    python -m tests.postgres             keeps it until Ctrl-C, for a look inside

It lives in a temporary folder and listens on a Unix socket there, never on the network. It
doesn't wait for the disk (fsync off): its data is worth nothing. PostgreSQL refuses to run as
root, so there it runs as the user postgres, which its packages make.
"""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path
from urllib.parse import quote

USER = "wareboard"
SETTINGS = {
    "listen_addresses": "''",
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "max_connections": "60",
}


def programs() -> Path | None:
    """Return the folder of PostgreSQL's server programs, the newest found, or None."""
    if found := shutil.which("initdb"):
        return Path(found).resolve().parent
    places = [
        *Path("/usr/lib/postgresql").glob("*/bin"),
        *Path("/opt/homebrew/opt").glob("postgresql@*/bin"),
    ]
    whole = [place for place in places if (place / "initdb").exists()]
    return max(
        whole, key=lambda place: int("0" + "".join(filter(str.isdigit, str(place)))), default=None
    )


@contextlib.contextmanager
def server() -> Iterator[str]:
    """Start a server, give its database URL, and stop and remove it in the end."""
    bin_folder = programs()
    if bin_folder is None:
        raise FileNotFoundError("PostgreSQL's server programs (initdb, pg_ctl) are not here")
    # A short path: the name of a Unix socket holds about a hundred characters.
    folder = Path(tempfile.mkdtemp(prefix="wareboard-pg-"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    data, log = folder / "data", folder / "log"
    options = " ".join(f"-c {key}={value}" for key, value in SETTINGS.items())
    try:
        _run(
            bin_folder / "initdb",
            "-D",
            data,
            "-U",
            USER,
            "-A",
            "trust",
            "-N",
            "-E",
            "UTF8",
            "--locale=C",
        )
        _run(
            bin_folder / "pg_ctl",
            "-D",
            data,
            "-l",
            log,
            "-w",
            "-o",
            f"{options} -k {folder}",
            "start",
        )
        try:
            yield f"postgres://{USER}@{quote(str(folder), safe='')}/postgres"
        finally:
            _run(bin_folder / "pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(program: Path, *arguments: str | Path) -> None:
    """Run one of PostgreSQL's programs as a user it accepts; show what it said if it fails."""
    done = subprocess.run(
        [program, *arguments],
        user="postgres" if os.geteuid() == 0 else None,
        cwd="/",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"{program.name} failed:\n{done.stdout}")


def main(command: Sequence[str]) -> int:
    """Run a command beside a throw-away server; return its exit status."""
    # Asked to end, it ends the server as well.
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(128 + number))
    try:
        with server() as url:
            if not command:
                print(f"DATABASE_URL={url} (Ctrl-C ends it)", flush=True)
                with contextlib.suppress(KeyboardInterrupt):
                    threading.Event().wait()
                return 0
            with subprocess.Popen(command, env={**os.environ, "DATABASE_URL": url}) as process:
                return _wait(process)
    except FileNotFoundError as error:
        print(f"{error}. On Debian or Ubuntu: sudo apt install postgresql.", file=sys.stderr)
        return 1


def _wait(process: "subprocess.Popen[bytes]") -> int:
    """Wait for a command; Ctrl-C reaches it as well, and it ends in its own way."""
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            continue
        except SystemExit:
            process.terminate()
            process.wait()
            raise


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
