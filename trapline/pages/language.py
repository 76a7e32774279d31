"""The person's language, as the cookie that Django's LocaleMiddleware reads."""

from functools import cache
from pathlib import Path
from typing import TypeVar

from django.conf import settings
from django.http import HttpResponseBase
from django.utils.translation import get_language_info

from trapline.people.models import Person

R = TypeVar("R", bound=HttpResponseBase)


@cache
def languages() -> list[tuple[str, str]]:
    """The languages that the project speaks: English, and each with a catalogue of ours."""
    found = {"en"} | {
        path.parents[1].name
        for folder in settings.LOCALE_PATHS
        for path in Path(folder).glob("*/LC_MESSAGES/django.mo")
    }
    return sorted((code, get_language_info(code)["name_local"].capitalize()) for code in found)


def keep_language(answer: R, person: Person) -> R:
    """Have the browser bring the person's language from now on."""
    answer.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        person.language,
        max_age=365 * 24 * 3600,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return answer
