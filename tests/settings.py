"""The site's settings as tests need them: a throw-away key, plain http, quick hashing."""

import atexit
import os
import secrets
import shutil
import tempfile

os.environ.setdefault("LABCASES_SECRET_KEY", secrets.token_urlsafe(60))
os.environ["LABCASES_DEBUG"] = "0"
os.environ["LABCASES_SECURE"] = "0"

from labcases.config.settings import *  # noqa: F403
from labcases.config.settings import LOGGING, STATIC_ROOT, STORAGES

FILES = tempfile.mkdtemp(prefix="labcases-files-")
atexit.register(shutil.rmtree, FILES, ignore_errors=True)
# Hashed file names need a collectstatic run, which a test of a page should not.
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    "attachments": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": FILES},
    },
}
WHITENOISE_USE_FINDERS = True
STATIC_ROOT.mkdir(parents=True, exist_ok=True)

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# A line for each request would bury what a failed test has to say; the tests of the log ask for it.
LOGGING = {**LOGGING, "loggers": {**LOGGING["loggers"], "labcases.request": {"level": "ERROR"}}}
