"""Every address has its rows in the permission table, and answers as they say."""

from collections.abc import Iterator
from http.cookies import SimpleCookie
from typing import Any

import pytest
from django.conf import settings
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from tests.pages.cast import Cast, client_of, make_cast
from tests.permission_table import PAGES, Row
from tests.permission_table_api import API
from trapline.pages.guard import Rule

VERBS = ("get", "post", "put", "patch", "delete")
# Files of other packages and the answer for a supervisor, served without a person behind them.
NOT_OURS = (settings.STATIC_URL.lstrip("/"),)


def addresses() -> list[tuple[str, Any]]:
    """Every route of the project with its view."""
    return [
        one for one in _walk(get_resolver().url_patterns, "") if not one[0].startswith(NOT_OURS)
    ]


def _walk(patterns: list[Any], before: str) -> Iterator[tuple[str, Any]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            yield route, pattern.callback


def methods_of(view: Any) -> set[str]:
    """The methods a view answers: a page's as it states them, an API view's by its verbs."""
    if hasattr(view, "methods"):
        return set(view.methods)
    if getattr(view, "actions", None):
        return {verb.upper() for verb in view.actions} & {verb.upper() for verb in VERBS}
    return {verb.upper() for verb in VERBS if hasattr(view.cls, verb)}


def test_every_page_states_its_rule() -> None:
    missing = [
        route
        for route, view in addresses()
        if not route.startswith("api/") and not isinstance(getattr(view, "rule", None), Rule)
    ]
    assert missing == []


def test_every_address_and_method_has_a_row() -> None:
    rows = {(row.method, row.route) for row in PAGES + API}
    asked = {(method, route) for route, view in addresses() for method in methods_of(view)}
    assert sorted(asked - rows) == [], "addresses without a row"
    assert sorted(rows - asked) == [], "rows without an address"


@pytest.mark.parametrize("table", ["pages", "api"])
@pytest.mark.django_db
def test_every_address_answers_as_its_rows_say(table: str, monkeypatch: pytest.MonkeyPatch) -> None:
    # Who gets a paper is asked here; that it is laid out, elsewhere: a process for each takes long.
    monkeypatch.setattr("trapline.reports.papers.pdf._made", lambda *_: b"%PDF-1.7")
    cast = make_cast()
    cookies = {who: client_of(actor).cookies for who, actor in cast.people.items()}
    wrong = []
    client = Client()  # one, whose middleware is loaded once; each asks with their own cookies
    for row in PAGES if table == "pages" else API:
        for who in cast.people:
            answered, expected = _ask(client, cast, cookies[who], row), getattr(row, who)
            if answered != expected:
                wrong.append(f"{who}: {row.method} {row.route} gave {answered}, not {expected}")
    assert wrong == []


def _ask(client: Client, cast: Cast, cookies: SimpleCookie, row: Row) -> int:
    path = "/" + row.route
    for name, value in cast.ids.items():
        for kind in ("slug", "uuid", "int", "str"):
            path = path.replace(f"<{kind}:{name}>", cast.ids.get(row.given.get(name, name), value))
    with transaction.atomic():
        client.cookies = SimpleCookie(cookies)
        if row.route.startswith("api/"):
            send: Any = getattr(client, row.method.lower())
            answer = send(path, row.body, content_type="application/json")
        else:
            answer = client.post(path) if row.method == "POST" else client.generic(row.method, path)
        transaction.set_rollback(True)
    return int(answer.status_code)
