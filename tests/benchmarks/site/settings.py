"""The site as it is deployed, with one page more that has nothing on it."""

from labcases.config.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benchmarks.site.urls"
# The pages are asked for over plain http on this machine.
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = False
