"""What the service worker keeps: the phone's own files, by the names they are served under."""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.templatetags.static import static
from django.urls import reverse

# What the first screen runs, named in the page, or the browser would find each script only after
# the one that asks for it. tests/phone/ follows the imports.
FIRST = ("app", "dom", "early", "machine", "place", "round", "say", "state", "store")
ELSEWHERE = ("load.js", "leave.js")  # run by other pages
KEPT = ("*.js", "*.css", "icon.svg", "icon-192.png")
HERE = Path(__file__).parent


def _folder() -> Path:
    return Path(settings.BASE_DIR) / "static"


def _names() -> list[str]:
    """The files of the phone under static/, and the colours it shares with the pages."""
    own = sorted(
        f"phone/{one.name}" for glob in KEPT for one in (_folder() / "phone").glob(glob)
        if one.name not in ELSEWHERE
    )  # fmt: skip
    return ["css/tokens.css", *own]


def kept_files() -> list[str]:
    """Addresses of the files, hashed as whitenoise's manifest has them."""
    return [*(static(name) for name in _names()), reverse("phone_manifest")]


def first_scripts() -> list[str]:
    """Addresses of what the first screen runs."""
    return [static(f"phone/{name}.js") for name in FIRST]


def version() -> str:
    """A name of what the phone keeps, that changes when any of it does."""
    texts = [
        *(_folder() / name for name in _names()),
        *sorted((Path(settings.BASE_DIR) / "templates" / "phone").iterdir()),
        HERE / "words.py",
    ]
    return _digest(tuple((one, one.stat().st_mtime_ns) for one in texts))


@lru_cache(maxsize=4)
def _digest(texts: tuple[tuple[Path, int], ...]) -> str:
    seen = hashlib.sha256()
    for path, _changed in texts:
        seen.update(path.name.encode() + b"\0" + path.read_bytes())
    return seen.hexdigest()[:12]
