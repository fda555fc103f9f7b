"""Settings. Everything that differs between machines comes from the environment.

WAREBOARD_DATA        folder of the database, photos and the secret key (default: data/)
WAREBOARD_SECRET_KEY  the signing key (default: made once, kept in the data folder)
WAREBOARD_HOSTS       host names to answer to, comma-separated (default: this machine's)
WAREBOARD_HTTPS       "1" where a server in front of it speaks HTTPS and says so in its
                      X-Forwarded-Proto: cookies and redirects follow
WAREBOARD_DEBUG       "1" for a developer's error pages; never at a stall
DATABASE_URL          e.g. postgres://…; without it SQLite in the data folder
"""

import os
import secrets
import socket
from pathlib import Path

import dj_database_url
import django_stubs_ext
from csp.constants import NONE, SELF

# Lets Django's own generic classes be written with what they hold: forms.ModelForm[Studio].
django_stubs_ext.monkeypatch()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("WAREBOARD_DATA", BASE_DIR / "data"))
DEBUG = os.environ.get("WAREBOARD_DEBUG") == "1"
HTTPS = os.environ.get("WAREBOARD_HTTPS") == "1"


def _secret_key() -> str:
    """Return the signing key, making and keeping one on the first run."""
    given = os.environ.get("WAREBOARD_SECRET_KEY")
    if given:
        return given
    path = DATA_DIR / "secret-key"
    if not path.exists():
        DATA_DIR.mkdir(parents=True, exist_ok=True)
        # Whole or not at all, also when two processes start at once.
        fresh = path.with_name(f"{path.name}.{os.getpid()}")
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(64))
        fresh.replace(path)
    return path.read_text().strip()


def _hosts() -> list[str]:
    """Return the host names to answer to: those given, and this machine's own."""
    given = [host.strip() for host in os.environ.get("WAREBOARD_HOSTS", "").split(",")]
    name = socket.gethostname()
    return ["localhost", "127.0.0.1", "[::1]", name, f"{name}.local", *filter(None, given)]


SECRET_KEY = _secret_key()
ALLOWED_HOSTS = _hosts()

INSTALLED_APPS = [
    "vendor",
    "vendor.house",
    "vendor.ware",
    "vendor.ledger",
    "vendor.firings",
    "vendor.supporters",
    "vendor.fairs",
    "vendor.labels",
    "vendor.restock",
    "vendor.counter",
    "vendor.closing",
    "vendor.reports",
    "vendor.studio",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_tables2",
    "axes",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "vendor.house.access.AccessMiddleware",
    "vendor.house.middleware.StudioMiddleware",
    "vendor.supporters.middleware.EndedReleases",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "vendor.urls"
WSGI_APPLICATION = "vendor.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{DATA_DIR / 'wareboard.sqlite3'}", conn_max_age=None
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # A till must not lose its last sale when the power goes (FULL), and two phones must not
    # meet "database is locked" (IMMEDIATE: a writer waits its turn instead of failing late).
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
        ),
    }

AUTH_USER_MODEL = "house.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
LOGIN_URL = "house:login"
LOGIN_REDIRECT_URL = "studio:home"
LOGOUT_REDIRECT_URL = "house:login"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "house/locked_out.html"

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_URL = "media/"
MEDIA_ROOT = DATA_DIR / "media"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "frame-src": [SELF],
        "frame-ancestors": [SELF],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}
# A page may show one of our own sheets in a frame, as the content policy says too.
X_FRAME_OPTIONS = "SAMEORIGIN"
SILENCED_SYSTEM_CHECKS = ["security.W019"]
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30  # a fair's phone stays logged in over the season
CSRF_FAILURE_VIEW = "vendor.house.views.form_too_old"
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True

DJANGO_TABLES2_TEMPLATE = "house/table.html"
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # A page that is not there is no news for the window in which the server runs.
    "loggers": {"django.request": {"level": "ERROR"}},
}
