"""A real server for the counter's stories, in a process of its own: `python -m` this, with a port.

Where the file `die` lies in its data folder, it takes that away and kills itself, as a power cut
would, when a batch of sales has been answered by the program and nothing of that is sent yet.
With `lay out` for a port it makes the stall instead, and prints the address's cookie.
"""

import os
import signal
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

SALES = "/sell/api/sales"


def lay_out() -> str:
    """Make the books with a stall that is on today; return a session of its helper."""
    import django

    django.setup()
    from django.core.management import call_command
    from django.test import Client

    call_command("migrate", verbosity=0)
    call_command("collectstatic", verbosity=0, interactive=False)
    from tests.counter.conftest import on_today
    from tests.counter.stalls import Stall

    stall = Stall()
    on_today(stall)
    client = Client()
    client.force_login(stall.helper, backend="django.contrib.auth.backends.ModelBackend")
    return client.cookies["sessionid"].value


def serve(port: int) -> None:
    """Serve until killed."""
    from cheroot.wsgi import Server

    from vendor.wsgi import application

    die = Path(os.environ["WAREBOARD_DATA"]) / "die"

    def dying(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        answer = application(environ, start_response)
        if environ["PATH_INFO"] == SALES and die.exists():
            die.unlink()
            os.kill(os.getpid(), signal.SIGKILL)
        return answer

    Server(("127.0.0.1", port), dying).start()


if __name__ == "__main__":
    if sys.argv[1] == "lay out":
        sys.stdout.write(lay_out())
    else:
        serve(int(sys.argv[1]))
