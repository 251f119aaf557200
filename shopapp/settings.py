"""One settings file. Everything that may differ comes from typed readers that
refuse nonsense at start, with a sentence that says what to write instead."""

from __future__ import annotations

import ipaddress
import os
from pathlib import Path
from typing import Any

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from shopapp.own_key import read_key


def read_bool(name: str, *, default: bool) -> bool:
    """A yes/no environment variable."""
    text = os.environ.get(name, "").strip().lower()
    if not text:
        return default
    if text in {"1", "true", "yes", "on"}:
        return True
    if text in {"0", "false", "no", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} is {text!r}: write yes or no.")


def read_int(name: str, *, default: int, least: int, most: int) -> int:
    """A whole-number environment variable within its limits."""
    text = os.environ.get(name, "").strip()
    if not text:
        return default
    if not text.isdecimal() or not least <= int(text) <= most:
        raise ImproperlyConfigured(
            f"{name} is {text!r}: write a whole number from {least} to {most}."
        )
    return int(text)


def read_list(name: str, *, default: list[str]) -> list[str]:
    """A comma-separated environment variable."""
    text = os.environ.get(name, "")
    return [part.strip() for part in text.split(",") if part.strip()] or default


def read_url(name: str, *, default: str, schemes: set[str]) -> str:
    """A URL environment variable with one of the known schemes."""
    text = os.environ.get(name, "").strip() or default
    if text.split("://")[0] not in schemes:
        raise ImproperlyConfigured(
            f"{name} is {text!r}: it must begin with one of "
            + ", ".join(f"{scheme}://" for scheme in sorted(schemes))
        )
    return text


def read_proxies(name: str) -> list[str]:
    """Whose word about a visitor's address is believed: yes is this machine."""
    text = os.environ.get(name, "").strip()
    if text.lower() in {"", "no", "false", "off", "0"}:
        return []
    if text.lower() in {"yes", "true", "on", "1"}:
        return ["127.0.0.1", "::1"]
    for part in (named := read_list(name, default=[])):
        try:
            ipaddress.ip_network(part)
        except ValueError:
            raise ImproperlyConfigured(
                f"{name} holds {part!r}: write yes, no, or the proxy's address."
            ) from None
    return named


def read_secret(folder: Path) -> str:
    """The secret key: from the environment, else made once in the data folder."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not (given := os.environ.get("SECRET_KEY", "")):
            return read_key(folder)
    except OSError as error:
        raise ImproperlyConfigured(
            f"The data folder {folder} cannot be used: {error.strerror}. Make room or "
            "let this account write there, or set SHOP_DATA to another folder."
        ) from None
    if len(given) < 32:
        raise ImproperlyConfigured("SECRET_KEY is too short: 32 signs or more.")
    return given


BASE_DIR = Path(__file__).resolve().parent.parent
SHOP_DATA = Path(os.environ.get("SHOP_DATA") or BASE_DIR / ".data").resolve()

DEBUG = read_bool("DEBUG", default=False)
SECRET_KEY = read_secret(SHOP_DATA)
ALLOWED_HOSTS = read_list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = read_list("CSRF_TRUSTED_ORIGINS", default=[])
HTTPS = read_bool("HTTPS", default=False)
PUBLIC_URL = read_url(
    "PUBLIC_URL", default="http://localhost:8000", schemes={"http", "https"}
)
TIME_ZONE_DEFAULT = "America/Chicago"

INSTALLED_APPS = [
    "shopapp",
    "mixing",
    "jobs",
    "django_htmx",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "shopapp.security.ContentSecurityMiddleware",
    "shopapp.security.CharsetMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "shopapp.who_is_here.WhoIsHereMiddleware",
    "shopapp.held_press.HoldPressMiddleware",
    "shopapp.security.ShopZoneMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shopapp.newer.NewerDocumentMiddleware",
    "shopapp.passwords.TooBusyMiddleware",
]

ROOT_URLCONF = "shopapp.urls"
ASGI_APPLICATION = "shopapp.asgi.application"
FORM_RENDERER = "shopapp.form_renderer.FormRenderer"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shopapp.context.shop",
            ],
            "builtins": ["shopapp.templatetags.shop", "jobs.templatetags.orders"],
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    ["django.template.loaders.filesystem.Loader"],
                )
            ],
        },
    }
]

SQLITE_OPTIONS = {
    "timeout": 20,
    "transaction_mode": "IMMEDIATE",
    "init_command": (
        "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;"
        "PRAGMA journal_size_limit=67108864;PRAGMA cache_size=-8000;"
        "PRAGMA mmap_size=0;"
    ),
}


def databases() -> dict[str, dict[str, Any]]:
    """SQLite in the data folder, or what DATABASE_URL names (PostgreSQL)."""
    url = os.environ.get("DATABASE_URL", "").strip()
    if not url:
        return {
            "default": {
                "ENGINE": "django.db.backends.sqlite3",
                "NAME": SHOP_DATA / "shop.sqlite3",
                "CONN_MAX_AGE": 0,
                "OPTIONS": SQLITE_OPTIONS,
                # A file, since threads of one test share it as processes would.
                "TEST": {"NAME": SHOP_DATA / "test.sqlite3"},
            }
        }
    read_url("DATABASE_URL", default=url, schemes={"postgres", "postgresql"})
    known: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=0))
    known.setdefault("OPTIONS", {})["pool"] = {"min_size": 1, "max_size": 8}
    return {"default": known}


DATABASES = databases()
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shopapp.Person"
PASSWORD_HASHERS = [
    "shopapp.passwords.Argon2Hasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "shopapp.password_checks.NotCommon"},
    {"NAME": "shopapp.password_checks.NotAName"},
]
LOGIN_URL = "shopapp:sign_in"
LOGIN_REDIRECT_URL = "shopapp:home"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
# The web server believes these, and nobody else, about address and https.
PROXIES = read_proxies("BEHIND_PROXY")
SECURE_SSL_REDIRECT = HTTPS
# Whoever watches the server asks it without a certificate.
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
# Thirty days: a shop that goes back to http waits no longer.
SECURE_HSTS_SECONDS = 30 * 24 * 60 * 60 if HTTPS else 0
X_FRAME_OPTIONS = "DENY"
SIGN_IN_TRIES = read_int("SIGN_IN_TRIES", default=10, least=3, most=1000)

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
"""The shop reads English; a customer's pages, mails and papers come in both."""
LOCALE_PATHS = [BASE_DIR / "jobs" / "locale"]
LANGUAGE_COOKIE_NAME = "customer_language"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATICFILES_DIRS: list[Path] = []
STATIC_ROOT = SHOP_DATA / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
MEDIA_ROOT = SHOP_DATA / "media"
BACKUP_DIR = os.environ.get("BACKUP_DIR", "").strip()
"""Where nightly backups lie; empty: `backups` in the data folder."""
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
PHOTO_MAX_BYTES = 10 * 1024 * 1024
BODY_MOST_BYTES = 48 * 1024 * 1024
"""Four photos and what is written beside them."""

REDIS_URL = read_url(
    "REDIS_URL",
    default=f"unix://{SHOP_DATA}/redis.sock",
    schemes={"redis", "rediss", "unix"},
)
# Celery speaks of the same socket with another scheme.
CELERY_BROKER_URL = REDIS_URL.replace("unix://", "redis+socket://")
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": 3600}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ROUTES = {"papers.*": {"queue": "papers"}, "*": {"queue": "solvers"}}
CELERY_WORKER_MAX_TASKS_PER_CHILD = 100
# Our JSON lines, from workers too.
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE = {
    "sweep": {"task": "solvers.sweep", "schedule": 30.0},
    "film": {"task": "solvers.film_clock", "schedule": 300.0},
    "air": {"task": "solvers.air_clock", "schedule": 60.0},
    "plan": {"task": "solvers.plan_clock", "schedule": 30.0},
    "mail": {"task": "solvers.mail_clock", "schedule": 30.0},
    "backup": {"task": "solvers.backup_clock", "schedule": 300.0},
    "sign-in": {"task": "solvers.sign_in_clock", "schedule": 60.0},
}
BACKGROUND_BELL = "shopapp.celery.ring"
"""Called after commit with (kind, pk) of a background task."""

EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
EMAIL_FILE_PATH = SHOP_DATA / "mail"
if os.environ.get("EMAIL_HOST"):
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = os.environ["EMAIL_HOST"]
    EMAIL_PORT = read_int("EMAIL_PORT", default=587, least=1, most=65535)
    EMAIL_HOST_USER = os.environ.get("EMAIL_USER", "")
    EMAIL_HOST_PASSWORD = os.environ.get("EMAIL_PASSWORD", "")
    # Port 465 speaks TLS from the first byte (RFC 8314, 3.3); others after STARTTLS.
    EMAIL_USE_SSL = EMAIL_PORT == 465  # noqa: PLR2004
    EMAIL_USE_TLS = not EMAIL_USE_SSL and read_bool("EMAIL_TLS", default=True)
EMAIL_TIMEOUT = 10
EMAIL_FROM = os.environ.get("EMAIL_FROM", "")
"""Whom mails are from, where that is not the shop's own address."""

LIVE_POLL_MS = read_int("LIVE_POLL_MS", default=50, least=10, most=5000)
LIVE_TICKET_S = read_int("LIVE_TICKET_S", default=600, least=1, most=3600)

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "shopapp.logs.JsonFormatter"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "json"}},
    "root": {
        "handlers": ["stderr"],
        "level": os.environ.get("LOG_LEVEL", "INFO").upper(),
    },
    # Seven lines a paper about its own steps.
    "loggers": {"weasyprint.progress": {"level": "WARNING"}},
}
