"""How a page is read here: its words without the markup, its forms as a browser has them."""

import re
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser
from typing import Any

from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext


def statements(client: Client, path: str) -> int:
    """How many statements a page takes, the transaction's own not counted."""
    with CaptureQueriesContext(connection) as seen:
        assert client.get(path).status_code == 200
    return len([one for one in seen.captured_queries if "SAVEPOINT" not in one["sql"]])


def words(answer: Any) -> str:
    """The text of a page, with single spaces."""
    text = re.sub(r"<(script|style|svg).*?</\1>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", text))).replace(" .", ".")


@dataclass
class Form:
    """A form's fields and their values, as a browser would send them untouched."""

    action: str
    values: dict[str, list[str]] = field(default_factory=dict)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._select: str | None = None
        self._area: str | None = None
        self._in_form = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        of = dict(attrs)
        if tag == "form":
            self.forms.append(Form(of.get("action") or ""))
            self._in_form = True
        if not self._in_form:
            return
        name, value = of.get("name"), of.get("value") or ""
        if tag == "input" and name:
            if of.get("type") in ("radio", "checkbox") and "checked" not in of:
                return
            self._keep(name, "on" if of.get("type") == "checkbox" and "value" not in of else value)
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select and "selected" in of:
            self._keep(self._select, value)
        elif tag == "textarea" and name:
            self._area = name
            self._keep(name, "")

    def handle_data(self, data: str) -> None:
        if self._area:
            self.forms[-1].values[self._area][-1] += data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._in_form = False
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def _keep(self, name: str, value: str) -> None:
        self.forms[-1].values.setdefault(name, []).append(value)


def forms(answer: HttpResponse | Any) -> list[Form]:
    """The forms of a page in their order."""
    reader = _Reader()
    reader.feed(answer.content.decode())
    return reader.forms


def form_with(answer: Any, name: str) -> Form:
    """The one form of a page that has a field of this name."""
    found = [form for form in forms(answer) if name in form.values]
    assert len(found) == 1, [list(form.values) for form in forms(answer)]
    return found[0]


def filled(answer: Any, name: str, /, **typed: Any) -> dict[str, Any]:
    """What a browser sends of the form that has a field `name`, with some fields typed over."""
    return form_with(answer, name).values | typed
