"""Settings of the tests: as served, but with a throw-away data folder and a fast password hash."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

# What a developer set for a server of their own is not for the tests.
os.environ.pop("WAREBOARD_HTTPS", None)
os.environ.pop("WAREBOARD_DEBUG", None)
os.environ.pop("WAREBOARD_HOSTS", None)
# A data folder of its own, so that a test can never touch a potter's season.
os.environ["WAREBOARD_DATA"] = tempfile.mkdtemp(prefix="wareboard-tests-")
os.environ.setdefault("WAREBOARD_SECRET_KEY", "only-for-tests-" + "x" * 50)

from vendor.settings import *  # noqa: F403
from vendor.settings import DATA_DIR, DATABASES, STORAGES

atexit.register(shutil.rmtree, DATA_DIR, ignore_errors=True)
DEBUG = False
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
ALLOWED_HOSTS = ["*"]
AXES_ENABLED = False
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Threads and the live server need one database that several connections can open.
    DATABASES["default"]["TEST"] = {"NAME": str(Path(DATA_DIR) / "test.sqlite3")}
    # The rows of a test need not outlive the power, so nothing waits for the disk.
    options = DATABASES["default"]["OPTIONS"]
    options["init_command"] = options["init_command"].replace("=FULL", "=OFF")
else:
    # A connection that is kept would keep the test database from being removed.
    DATABASES["default"]["CONN_MAX_AGE"] = 0

# The server of static files wants its folder to be there.
(Path(DATA_DIR) / "static").mkdir(parents=True, exist_ok=True)
