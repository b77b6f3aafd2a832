"""The only settings file. Every variable it reads is in the table in DEVELOPERS.md."""

import sqlite3
from pathlib import Path
from urllib.parse import urlsplit

from shop.env import env_bool, env_database, env_int, env_secret, env_text, env_url

BASE_DIR = Path(__file__).resolve().parent.parent

DEBUG = env_bool("DEBUG", False)
DATA_DIR = Path(env_text("DATA_DIR", str(BASE_DIR / "var")))
DATA_DIR.mkdir(parents=True, exist_ok=True)
PUBLIC_URL = env_url("PUBLIC_URL", "http://localhost:8000")
SECRET_KEY = env_secret("SECRET_KEY")
DEMO = env_bool("DEMO", False)
MAX_UPLOAD_MB = env_int("MAX_UPLOAD_MB", 100, 1, 1000)

_public = urlsplit(PUBLIC_URL)
SECURE = _public.scheme == "https"
ALLOWED_HOSTS = [_public.hostname, *filter(None, env_text("EXTRA_HOSTS", ",").split(","))]
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.forms",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "axes",
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "django_tasks",
    "django_tasks_db",
    "sizing",
    "shop",
    "measurements",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.web.middleware.FragmentLoginMiddleware",
    "shop.web.middleware.FirstVisitMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "shop.web.middleware.WorkshopMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATE_LOADERS = ["django.template.loaders.filesystem.Loader", "django.template.loaders.app_directories.Loader"]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
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
                "shop.web.context.workshop_context",
            ],
            "builtins": ["sizing.templatetags.quantities", "shop.templatetags.listings"],
            "loaders": TEMPLATE_LOADERS if DEBUG else [("django.template.loaders.cached.Loader", TEMPLATE_LOADERS)],
        },
    }
]

DATABASES = {"default": env_database("DATABASE_URL", f"sqlite:///{DATA_DIR / 'workshop.sqlite3'}")}
DATABASES["default"]["ATOMIC_REQUESTS"] = False
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # WAL can corrupt a file in libraries before 3.51.3 (the WAL-reset bug), so older ones keep the rollback journal.
    _journal = "WAL" if sqlite3.sqlite_version_info >= (3, 51, 3) else "DELETE"
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": f"PRAGMA journal_mode={_journal};PRAGMA synchronous=FULL;PRAGMA cache_size=-20000;",
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
# Long work waits in the database itself: no second server, and it is asked for in the transaction of what it is for.
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shop.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "shop:login"
LOGIN_REDIRECT_URL = "shop:home"
LOGOUT_REDIRECT_URL = "shop:login"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours: a guesser waits, nobody is locked out for good
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "registration/locked_out.html"
AXES_RESET_ON_SUCCESS = True
OTP_TOTP_ISSUER = "Workshop"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
USE_I18N = True
LOCALE_PATHS = [BASE_DIR / floor / "locale" for floor in ("sizing", "shop", "measurements")]
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / ".static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    # Readable by all: in the image they are collected by another user than the one who serves them.
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage",
        "OPTIONS": {"file_permissions_mode": 0o644},
    },
}
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_AUTOREFRESH = DEBUG
MEDIA_ROOT = DATA_DIR / "files"
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o640

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 12 * 3600
SESSION_SAVE_EVERY_REQUEST = False
SESSION_COOKIE_SECURE = SECURE
CSRF_COOKIE_SECURE = SECURE
SECURE_SSL_REDIRECT = SECURE
SECURE_REDIRECT_EXEMPT = [r"^health/"]
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if SECURE else None
# A workshop's name stands on a LAN with a certificate of its own: no public list, no word for neighbours under the same
# domain, and a month, so that a browser does not bar the workshop for long when the certificate is lost.
SECURE_HSTS_SECONDS = 30 * 86400 if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = False
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]  # ask for the two
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        # The plot library adds one empty style element; this is the hash of empty text.
        "style-src": ["'self'", "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"],
        "img-src": ["'self'", "data:", "blob:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
    }
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env_text("LOG_LEVEL", "WARNING")},
}
