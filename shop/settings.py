"""Settings. Everything that differs between a laptop and a grown shop comes from the environment."""

import os
from datetime import timedelta
from email.utils import parseaddr
from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
from csp.constants import NONCE, NONE, SELF

from shop.secrets import secret_key

ROOT = Path(__file__).resolve().parent.parent


def flag(name: str, *, default: bool = False) -> bool:
    """Read a yes/no environment variable."""
    return os.environ.get(name, str(int(default))).strip().lower() in {"1", "true", "yes", "on"}


SHOP_HOME = Path(os.environ.get("SHOP_HOME", ROOT / "var" / "shop")).resolve()
SHOP_HOME.mkdir(parents=True, exist_ok=True)
DEMO = flag("SHOP_DEMO")
DEBUG = flag("SHOP_DEBUG")
SECRET_KEY = os.environ.get("SHOP_SECRET_KEY") or secret_key(SHOP_HOME)

PUBLIC_ADDRESS = os.environ.get("SHOP_PUBLIC_ADDRESS", "http://127.0.0.1:8000").rstrip("/")
_public = urlsplit(PUBLIC_ADDRESS)
# where owners read their pages, when that is not where the shop works: a shop on its own network is seen from outside by it
OWNERS_ADDRESS = os.environ.get("SHOP_OWNERS_ADDRESS", "").rstrip("/") or PUBLIC_ADDRESS
ALLOWED_HOSTS = [
    host
    for host in {
        _public.hostname or "127.0.0.1",
        urlsplit(OWNERS_ADDRESS).hostname or "127.0.0.1",
        "127.0.0.1",
        "localhost",
        *os.environ.get("SHOP_HOSTS", "").split(","),
    }
    if host
]
CSRF_TRUSTED_ORIGINS = [PUBLIC_ADDRESS]
SECURE = _public.scheme == "https"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.admin",  # no address of its own: the yardstick of `measure board`
    "django_htmx",
    "axes",
    "csp",
    "shop.people",
    "shop.profile",
    "shop.packing",
    "jobs",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shop.squeeze.SqueezeMiddleware",
    "shop.nul.NulMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "shop.people.kiosk.KioskMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.people.privacy.NoStoreMiddleware",
    "shop.people.sign_ins.SeenMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.profile.context.shop",
            ],
            "builtins": ["shop.people.templatetags.words"],
        },
    },
]

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{SHOP_HOME / 'shop.sqlite3'}",
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON; PRAGMA temp_store=MEMORY;"
        ),
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

REDIS_URL = os.environ.get("REDIS_URL", "")
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
    if REDIS_URL
    else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
}

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "shop.people.pins.PinBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "people:sign-in"
LOGIN_REDIRECT_URL = "morning:today"

AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "people/locked_out.html"
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False

PASSWORD_RESET_TIMEOUT = 3 * 24 * 3600  # a way in sent on Friday is still good on Monday
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if SECURE:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31536000

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF, NONCE],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "media-src": [SELF, "blob:"],
        "connect-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = SHOP_HOME / "static"
STATICFILES_DIRS = [ROOT / "shop" / "static"]
WHITENOISE_USE_FINDERS = not STATIC_ROOT.is_dir()  # demo and serve collect them, compressed
WHITENOISE_AUTOREFRESH = DEBUG
WHITENOISE_MAX_AGE = 300
# `serve` sets these where the shop's own authority made its certificate
AUTHORITY = Path(os.environ.get("SHOP_AUTHORITY", ""))
TRUST_ADDRESS = os.environ.get("SHOP_TRUST_ADDRESS", "")

MEDIA_ROOT = SHOP_HOME / "files"
_files = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
S3_BUCKET = os.environ.get("S3_BUCKET", "")


def _store(folder: str) -> dict[str, object]:
    """One private store: a folder of the shop's home, or a prefix of an S3-compatible bucket."""
    if S3_BUCKET:
        return {
            "BACKEND": "storages.backends.s3.S3Storage",
            "OPTIONS": {
                "bucket_name": S3_BUCKET,
                "location": folder,
                "endpoint_url": os.environ.get("S3_ENDPOINT") or None,
                "access_key": os.environ.get("S3_KEY") or None,
                "secret_key": os.environ.get("S3_SECRET") or None,
                "default_acl": "private",
                "querystring_auth": True,
            },
        }
    return {**_files, "OPTIONS": {"location": MEDIA_ROOT / folder, "file_permissions_mode": 0o600}}


STORAGES = {
    "default": _store("other"),
    "photos": _store("photos"),
    "papers": _store("papers"),
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedStaticFilesStorage"},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 8 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000
PHOTO_MAX_BYTES = 50 * 1024 * 1024
PHOTO_MAX_PIXELS = 60_000_000

COPIES_FOLDER = Path(os.environ.get("SHOP_COPIES") or SHOP_HOME / "copies").resolve()
COPIES_AT = os.environ.get("SHOP_COPIES_AT", "02:30")  # by the shop's own clock
COPIES_KEPT = tuple(
    int(count) for count in os.environ.get("SHOP_COPIES_KEPT", "7,4,12").split(",")
)  # days, weeks, months
COPIES_PASSPHRASE = os.environ.get("SHOP_COPIES_PASSPHRASE", "")

EMAIL_BACKEND = "jobs.updates.post.PostBackend"  # SMTP that knows whether a letter may be out already
EMAIL_HOST = os.environ.get("SMTP_HOST", "127.0.0.1")
EMAIL_PORT = int(os.environ.get("SMTP_PORT", "25"))
EMAIL_HOST_USER = os.environ.get("SMTP_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("SMTP_PASSWORD", "")
EMAIL_USE_TLS = flag("SMTP_TLS")
EMAIL_USE_SSL = flag("SMTP_SSL")
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("SHOP_MAIL_FROM", "workshop@localhost")
LETTER_GRACE = int(os.environ.get("SHOP_LETTER_GRACE", "60"))  # seconds in which a move can be taken back untold
MAIL_DOMAIN = parseaddr(DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"

CELERY_BROKER_URL = REDIS_URL or "filesystem://"
_broker = SHOP_HOME / "broker"
if not REDIS_URL:
    CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(_broker / "queue"),
        "data_folder_out": str(_broker / "queue"),
        "control_folder": str(_broker / "control"),
        "store_processed": False,
    }
else:
    CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": 3600}
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_DEFAULT_QUEUE = "shop"
CELERY_TASK_ROUTES = {"updates.*": {"queue": "messages"}}
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_BEAT_SCHEDULE = {
    # each worker says for itself that it is alive
    "heartbeat": {"task": "profile.heartbeat", "args": ["shop"], "schedule": 5.0, "options": {"expires": 10}},
    "heartbeat-messages": {
        "task": "profile.heartbeat",
        "args": ["messages"],
        "schedule": 5.0,
        "options": {"expires": 10, "queue": "messages"},
    },
    "follow": {"task": "book.follow", "schedule": 5.0, "options": {"expires": 10}},
    "messages": {"task": "updates.sweep", "schedule": 5.0, "options": {"expires": 10}},
    "papers": {"task": "papers.sweep", "schedule": 10.0, "options": {"expires": 20}},
    "photos": {"task": "photos.sweep", "schedule": 10.0, "options": {"expires": 20}},
    "ways-in": {"task": "people.letters", "schedule": 10.0, "options": {"expires": 20, "queue": "messages"}},
    "copies": {"task": "packing.sweep", "schedule": 30.0, "options": {"expires": 25}},
}
CELERY_BEAT_SCHEDULE_FILENAME = str(SHOP_HOME / "beat-schedule")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": os.environ.get("SHOP_LOG", "WARNING")},
}
