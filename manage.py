#!/usr/bin/env python3
"""The one way in: `start` sets up and serves, `test` sets up and tests, the rest is Django's."""

import sys

from vendor import bootstrap

if __name__ == "__main__":
    sys.exit(bootstrap.main(sys.argv))
