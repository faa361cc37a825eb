"""Settings of the workshop. Safe by default: debug off, sign-in everywhere, strict content policy.

Environment: TAWERY_DATA (folder of database, secrets, fonts), TAWERY_COPIES (folder of copies), DATABASE_URL (another database),
TAWERY_HOSTS (names the server answers to, with commas), TAWERY_HTTPS=1 (served behind TLS), TAWERY_PROXY (whose word is taken for
a browser's address), TAWERY_TIME_ZONE, TAWERY_MAIL_… (the server that mail is sent by), TAWERY_DEBUG=1 (development only).
docs/reference/settings.md says the same for the maker.
"""

import os
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF
from django.core.management.utils import get_random_secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("TAWERY_DATA") or BASE_DIR / "data").resolve()
SECRET_FILE = DATA_DIR / "secret.key"

# Without a kept key every start would sign everybody out; `manage.py open` writes the file once, mode 0600.
COPIES_DIR = Path(os.environ["TAWERY_COPIES"]).resolve() if os.environ.get("TAWERY_COPIES") else None


def kept_key(file: Path) -> str:
    """The key in a file; nothing where it is missing, empty or damaged, which `manage.py open` refuses."""
    try:
        key = file.read_text("ascii").strip()
    except (OSError, ValueError):
        return ""
    return key if len(key) >= 32 and key.isprintable() else ""


SECRET_KEY = kept_key(SECRET_FILE) or get_random_secret_key()
DEBUG = os.environ.get("TAWERY_DEBUG") == "1"
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *os.environ.get("TAWERY_HOSTS", "").replace(",", " ").split()]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "axes",
    "csp",
    "inventory",
    "costing",
    "workshop",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "workshop.middleware.KeptByNobody",
    "workshop.turns.Turns",
    "csp.middleware.CSPMiddleware",
    "workshop.sent.CleanHeaders",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "workshop.middleware.TooMuch",
    "workshop.middleware.SignInFirst",
    "workshop.reading.MoneySide",
    "workshop.sent.Readable",
    "django.contrib.messages.middleware.MessageMiddleware",
    "workshop.clocks.Clocks",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "workshop.middleware.Refusals",
    "workshop.faults.Faults",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "workshop.urls"
WSGI_APPLICATION = "workshop.wsgi.application"
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
DJANGO_TABLES2_TEMPLATE = "tables/table.html"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "workshop" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "workshop.context.frame",
            ],
            "builtins": ["inventory.templatetags.figures", "inventory.templatetags.sentences"],
        },
    }
]

# WAL and IMMEDIATE: two devices may post at once and neither is refused for a lock it could have waited for.
# Who waits for the other writer tries by chance: of eight that never pause, one in a thousand tried for twenty seconds in vain.
# synchronous=FULL: what was committed survives a pulled plug.
SQLITE_START = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"


def sqlite_in(folder: Path) -> dict[str, Any]:
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(folder / "workshop.sqlite3"),
        "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 60, "init_command": SQLITE_START},
    }


DATABASES: dict[str, Any] = {"default": sqlite_in(DATA_DIR)}
if os.environ.get("DATABASE_URL"):
    DATABASES["default"] = dj_database_url.parse(os.environ["DATABASE_URL"], conn_max_age=60, conn_health_checks=True)


DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
    "workshop.setup.passkeys.backend.PasskeyBackend",
]

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign_in"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "workshop/setup/locked.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

# The one address whose word is taken for where a browser comes from: that of the proxy before the program, if there is one.
PROXY = os.environ.get("TAWERY_PROXY", "").strip()
AXES_CLIENT_IP_CALLABLE = "workshop.proxy.client_address"

# The log of failed sign-ins holds what was sent, and never these in clear.
AXES_SENSITIVE_PARAMETERS = ["username", "ip_address", "old", "key", "answer"]

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
    }
}

X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30


if os.environ.get("TAWERY_HTTPS") == "1":
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True


# Mail is sent by `restock --mail` alone; without a server it says which variable to set.
MAIL_PORTS = {"starttls": 587, "tls": 465, "none": 25}
MAIL_SECURITY = os.environ.get("TAWERY_MAIL_SECURITY") or "starttls"
MAIL_TO = os.environ.get("TAWERY_MAIL_TO", "").replace(",", " ").split()
EMAIL_HOST = os.environ.get("TAWERY_MAIL_HOST", "")
EMAIL_PORT = os.environ.get("TAWERY_MAIL_PORT") or MAIL_PORTS.get(MAIL_SECURITY, 0)
EMAIL_HOST_USER = os.environ.get("TAWERY_MAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("TAWERY_MAIL_PASSWORD", "")
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL_SECURITY == "starttls", MAIL_SECURITY == "tls"
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("TAWERY_MAIL_FROM") or EMAIL_HOST_USER

STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True  # the few files are served from the packages; no collecting step to forget
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000  # a count sheet sends four for each material; a thousand would lose a long one
LANGUAGE_CODE = "en-gb"
USE_I18N = True
USE_TZ = True
TIME_ZONE = os.environ.get("TAWERY_TIME_ZONE", "UTC")
DATE_FORMAT = "j M Y"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
