#!/usr/bin/env python3
"""The one way in: `start` sets up and serves, `test` sets up and tests, the rest is Django's."""

import sys

if __name__ == "__main__":
    # Written so that an old Python can read this far and say what is wrong.
    if sys.version_info < (3, 11):  # noqa: UP036
        sys.exit(
            "Wareboard needs Python 3.11 or newer, and this is Python %d.%d. Nothing was changed. "  # noqa: UP031
            "Install a newer Python and run the same command with it, for example "
            "`python3.12 manage.py start`." % sys.version_info[:2]
        )

    from vendor import bootstrap

    sys.exit(bootstrap.main(sys.argv))
