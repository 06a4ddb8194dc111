import datetime
import os
from pathlib import Path

import dj_database_url

from labcases.config import environment

BASE_DIR = Path(__file__).resolve().parent.parent.parent
VAR_DIR = BASE_DIR / "var"

DEBUG = environment.flag("LABCASES_DEBUG", default=False)
SECRET_KEY = environment.secret_key()
ALLOWED_HOSTS = environment.words("LABCASES_ALLOWED_HOSTS", default="127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = environment.words("LABCASES_TRUSTED_ORIGINS")
# What the scan code on a ticket points to; the printed address outlives any one server.
PUBLIC_URL = os.environ.get("LABCASES_PUBLIC_URL", "http://127.0.0.1:8000").rstrip("/")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
    "labcases.people",
    "labcases.cases",
    "labcases.measurements",
    "labcases.planning",
    "labcases.tickets",
    "labcases.upkeep",
    "labcases.post",
    "labcases.records",
    "labcases.attachments",
    "labcases.pages",
    "labcases.office",
    "labcases.bench",
    "labcases.clinic",
    "labcases.demo",
    "labcases.operation",
]

CSRF_FAILURE_VIEW = "labcases.pages.errors.forged"

MIDDLEWARE = [
    "labcases.pages.logs.request_log",
    "labcases.pages.middleware.page_headers",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "labcases.pages.middleware.session_limits",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "labcases.pages.languages.in_own_language",
    "allauth.account.middleware.AccountMiddleware",
    "labcases.pages.middleware.SecondFactorNeeded",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    # Around the next: whoever is led to a first answer has perhaps never got it, nor was its writing noted.
    "labcases.operation.replica.ListsFromReplica",
    "labcases.pages.middleware.second_sending",
    "labcases.pages.middleware.RefusalPages",
]

ROOT_URLCONF = "labcases.config.urls"
WSGI_APPLICATION = "labcases.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "labcases.pages.context.navigation",
                "labcases.pages.logs.quotable",
            ],
            "builtins": ["django.templatetags.i18n", "labcases.pages.templatetags.trade"],
            **(
                {}
                if DEBUG
                else {
                    "loaders": [
                        (
                            "django.template.loaders.cached.Loader",
                            ["django.template.loaders.filesystem.Loader"],
                        )
                    ]
                }
            ),
        },
    }
]

VAR_DIR.mkdir(exist_ok=True)
DEFAULT_DATABASE = f"sqlite:///{VAR_DIR / 'labcases.sqlite3'}"
DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or DEFAULT_DATABASE, conn_max_age=600, conn_health_checks=True
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Deferred transactions lose most concurrent writes to "database is locked"; IMMEDIATE with a wait loses none.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
if REPLICA := environment.replica(
    os.environ.get("LABCASES_REPLICA_URL", "").strip(), primary=DATABASES["default"]
):
    DATABASES["replica"] = REPLICA
DATABASE_ROUTERS = ["labcases.operation.replica.Router"] if REPLICA else []
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.User"
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# The library's rows and arithmetic of second factors alone: none of its pages, no e-mail addresses.
MFA_ADAPTER = "labcases.people.actions.library.Adapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_TOTP_ISSUER = "Labcases"
MFA_RECOVERY_CODE_COUNT = 10
MFA_RECOVERY_CODE_DIGITS = 10
ACCOUNT_USER_MODEL_EMAIL_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
# Who does not get further without a second factor.
SECOND_FACTOR_FOR = environment.some_of(
    "LABCASES_SECOND_FACTOR_FOR", allowed=("manager", "technician", "clinician")
)

# What is written down and printed for everybody is in the laboratory's language; pages are in each reader's own.
LANGUAGES = [("en-gb", "English"), ("de", "Deutsch")]
LANGUAGE_CODE = environment.one_of("LABCASES_LANGUAGE", allowed=[code for code, _ in LANGUAGES])
LOCALE_PATHS = [BASE_DIR / "locale"]
TIME_ZONE = os.environ.get("LABCASES_TIME_ZONE", "Europe/London")
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = VAR_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    # Photographs, papers and scans of cases, in no folder that the site serves by itself. Whatever storage stands
    # here, its files are reached through a gated page alone.
    "attachments": environment.files_storage(
        os.environ.get("LABCASES_FILES_STORAGE", "").strip(),
        os.environ.get("LABCASES_FILES_OPTIONS", "").strip(),
        folder=os.environ.get("LABCASES_FILES", "").strip() or str(VAR_DIR / "files"),
    ),
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = DEBUG

# A worker process, `manage.py worker`, does what takes longer than a page may. The night's work has a queue of its
# own, so that a worker beside it can go on printing.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default", "night"]}}

# What one sheet may take of the machine until printing it is given up. A usual ticket takes a second and 200 MB.
PDF_SECONDS = environment.count("LABCASES_PDF_SECONDS", default=30, least=1, most=600)
PDF_MEGABYTES = environment.count("LABCASES_PDF_MEGABYTES", default=1536, least=512, most=16_384)

# Every night the worker makes a backup and lets older ones go.
BACKUP_FOLDER = os.environ.get("LABCASES_BACKUP_FOLDER") or str(VAR_DIR / "backups")
BACKUP_HOUR = environment.count("LABCASES_BACKUP_HOUR", default=2, most=23)
BACKUPS_DAILY = environment.count("LABCASES_BACKUPS_DAILY", default=7, least=1)
BACKUPS_WEEKLY = environment.count("LABCASES_BACKUPS_WEEKLY", default=5)
BACKUPS_MONTHLY = environment.count("LABCASES_BACKUPS_MONTHLY", default=12)

# Letters to clinicians who want some; a site that is not told how to send any writes none.
_mail = environment.mail(os.environ.get("LABCASES_EMAIL_URL", "console:" if DEBUG else "").strip())
LETTERS = bool(_mail)
EMAIL_BACKEND = _mail.get("EMAIL_BACKEND", "django.core.mail.backends.dummy.EmailBackend")
EMAIL_FILE_PATH = _mail.get("EMAIL_FILE_PATH")
EMAIL_HOST = _mail.get("EMAIL_HOST", "")
EMAIL_PORT = _mail.get("EMAIL_PORT", 25)
EMAIL_HOST_USER = _mail.get("EMAIL_HOST_USER", "")
EMAIL_HOST_PASSWORD = _mail.get("EMAIL_HOST_PASSWORD", "")
EMAIL_USE_SSL = _mail.get("EMAIL_USE_SSL", False)
EMAIL_USE_TLS = _mail.get("EMAIL_USE_TLS", False)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("LABCASES_EMAIL_FROM", "labcases@localhost" if DEBUG else "").strip()
# How long an address in a letter leads to its case, in minutes: from a quarter of an hour to a week.
LINK_MINUTES = environment.count("LABCASES_LINK_MINUTES", default=1440, least=15, most=10_080)

MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

# Behind TLS by default; a demonstration on one machine speaks plain http on loopback.
SECURE = not DEBUG and environment.flag("LABCASES_SECURE", default=True)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SECURE_SSL_REDIRECT = SECURE
SECURE_HSTS_SECONDS = 31_536_000 if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE
SECURE_HSTS_PRELOAD = SECURE
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if SECURE else None
# How many servers of our own a request passes before it gets here; what else it says of its way is not believed.
PROXIES = environment.count("LABCASES_PROXIES", default=1 if SECURE else 0)
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
# Whoever does nothing for so long is signed out; at a bench device, locked. After the longest time everybody is.
SESSION_ENGINE = "labcases.people.sessions"
SESSION_IDLE = datetime.timedelta(
    minutes=environment.count("LABCASES_IDLE_MINUTES", default=60, least=1, most=1440)
)
SESSION_LONGEST = datetime.timedelta(hours=environment.count("LABCASES_SESSION_HOURS", default=12, least=1))
SESSION_COOKIE_AGE = int(SESSION_LONGEST.total_seconds())
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
# What comes in goes to the disk at once and is cut off where it is larger than any file that is taken.
FILE_UPLOAD_HANDLERS = ["labcases.pages.uploads.BoundedUpload"]
LARGEST_UPLOAD = 61 * 1024**2
DATA_UPLOAD_MAX_NUMBER_FILES = 4

# A request's reference is taken from X-Request-ID only where a proxy of our own sets or clears that header.
TRUST_REQUEST_ID = environment.flag("LABCASES_TRUST_REQUEST_ID", default=False)
# Whoever watches over the site asks it on loopback, without TLS.
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "labcases.pages.logs.JsonLines"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", **({} if DEBUG else {"formatter": "json"})},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "labcases": {"level": "INFO"},
        "weasyprint": {"level": "ERROR"},
        # Its warnings are answers of 400 to 404, which the request's own line tells without the address.
        "django.request": {"level": "ERROR"},
        "django": {"handlers": [], "level": "WARNING" if not DEBUG else "INFO"},
    },
}
