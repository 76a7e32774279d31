"""Settings, read from the environment. `make` sets it for the embedded default.

DATABASE_URL is the program's role, which owns nothing; OWNER_DATABASE_URL is the
role that migrates. OWN_SCHEMA=1 makes a process (migrate, test set-up) the owner.
"""

import zoneinfo
from pathlib import Path
from typing import Any

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent
env = environ.Env()

DEBUG: bool = env.bool("DEBUG", default=False)
SECRET_KEY: str = env.str("SECRET_KEY")
ALLOWED_HOSTS: list[str] = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1"])
CSRF_TRUSTED_ORIGINS: list[str] = env.list("CSRF_TRUSTED_ORIGINS", default=[])

PROGRAM_ROLE: str = env.str("PROGRAM_ROLE", default="lineward_app")
_url = "OWNER_DATABASE_URL" if env.bool("OWN_SCHEMA", default=False) else "DATABASE_URL"
DATABASES: dict[str, dict[str, Any]] = {
    "default": {
        **env.db_url(_url, default="postgis:///lineward"),
        "ENGINE": "django.contrib.gis.db.backends.postgis",
        "CONN_HEALTH_CHECKS": True,
        # A kept plan is one for any values (ground/sql.py says which are kept); compiling pays for
        # statements of seconds only.
        "OPTIONS": {"options": "-c plan_cache_mode=force_generic_plan -c jit=off"},
    }
}
if env.bool("POOL", default=False):  # web processes only: a pool and a fork do not mix
    DATABASES["default"]["OPTIONS"]["pool"] = {"min_size": 1, "max_size": 8}

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "trapline.ground.statics.Statics",
    "django.contrib.gis",
    "django.contrib.postgres",
    "django_htmx",
    "leaflet",
    "axes",
    "csp",
    "rest_framework",
    "rest_framework_gis",
    "django_filters",
    "knox",
    "drf_spectacular",
    "trapline.ground",
    "trapline.people",
    "trapline.journal",
    "trapline.land",
    "trapline.gear",
    "trapline.rulebook",
    "trapline.lines",
    "trapline.standing",
    "trapline.duties",
    "trapline.findings",
    "trapline.kept",
    "trapline.reports",
    "trapline.record",
    "trapline.watch",
    "trapline.api",
    "trapline.pages",
    "trapline.phone",
    "trapline.demo",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "trapline.urls"
WSGI_APPLICATION = "trapline.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("MinimumLengthValidator", "CommonPasswordValidator", "NumericPasswordValidator")
] + [{"NAME": "trapline.people.passwords.TokensEnd"}]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign_in"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_TEMPLATE = "sign_in_locked.html"
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_FORM_FIELD = "username"  # what authenticate() calls it; it guesses sign_in_name
AXES_USERNAME_CALLABLE = "trapline.people.attempts.name_tried"

LANGUAGE_CODE = "en"
USE_I18N = True
LOCALE_PATHS = [BASE_DIR / "trapline" / "locale"]
USE_TZ = True
TIME_ZONE = "UTC"
# Zones are read from the package that is pinned, on every machine; a system's may be years old.
zoneinfo.reset_tzpath(to=())
zoneinfo.ZoneInfo.clear_cache()

STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = env.str("LINEWARD_STATIC", default=str(BASE_DIR / ".local" / "static"))
MEDIA_ROOT = env.str("LINEWARD_MEDIA", default=str(BASE_DIR / ".local" / "media"))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "trapline.ground.statics.HashedStatics"
        if not env.bool("PLAIN_STATIC", default=False)
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}

# No page loads a source map.
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ("map", "woff", "woff2", "png", "jpg", "webp", "gz", "br")

REDIS_URL: str = env.str("REDIS_URL", default="redis://localhost:6379/0")


def broker_url(redis: str) -> str:
    """Redis' address as kombu spells it, which has its own way with a unix socket."""
    return redis.replace("unix:", "redis+socket:").replace("?db=", "?virtual_host=")


CELERY_BROKER_URL = broker_url(REDIS_URL)
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
# A person waits for it: when Redis is away, no second try a second later.
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "socket_connect_timeout": 1, "max_retries": 1,
    "interval_start": 0, "interval_step": 0, "interval_max": 0,
}  # fmt: skip

_mail_dir: str = env.str("LINEWARD_MAIL_DIR", default="")
EMAIL_BACKEND = (
    "django.core.mail.backends." + ("filebased" if _mail_dir else "smtp") + ".EmailBackend"
)
EMAIL_FILE_PATH = _mail_dir or None
vars().update(env.email_url("EMAIL_URL") if env.str("EMAIL_URL", default="") else {})
DEFAULT_FROM_EMAIL = env.str("MAIL_FROM", default="lineward@localhost")

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = env.bool("HTTPS", default=False)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if SESSION_COOKIE_SECURE else None
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "connect-src": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
    }
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "trapline.api.tokens.Bearer",
        "rest_framework.authentication.SessionAuthentication",
    ],
    # A view without a stated rule answers nobody.
    "DEFAULT_PERMISSION_CLASSES": ["trapline.api.rules.Nobody"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["trapline.api.parsing.StrictJson"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "trapline.api.paging.ByKey",
    "DEFAULT_SCHEMA_CLASS": "trapline.api.schema.Documented",
    "EXCEPTION_HANDLER": "trapline.api.problems.handler",
    "PAGE_SIZE": 100,
}
REST_KNOX = {
    "TOKEN_TTL": None,
    "AUTO_REFRESH": False,
    "TOKEN_LIMIT_PER_USER": 20,
    "AUTH_HEADER_PREFIX": "Bearer",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Lineward",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": r"/api/v1(/teams/\{team\})?",
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "trapline.api.schema.plain_discriminators",
    ],
    "ENUM_NAME_OVERRIDES": {
        "ActStateEnum": "trapline.journal.models.ActState",
        "DutyStateEnum": "trapline.duties.models.State",
        "NoticeStateEnum": "trapline.duties.models.NoticeState",
        "PartStateEnum": "trapline.gear.models.PartState",
        "MemberRoleEnum": "trapline.people.models.Role",
        "PartRoleEnum": "trapline.gear.models.PartRole",
    },
}
LEAFLET_CONFIG = {"TILES": [], "RESET_VIEW": False, "NO_GLOBALS": False}

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
SILENCED_SYSTEM_CHECKS: list[str] = []
