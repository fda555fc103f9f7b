"""Settings that serve the style page alone, over a throw-away database."""

from tests.settings import *  # noqa: F403

DEBUG = True
ROOT_URLCONF = "tests.house.style.urls"
