"""A deed: an act as somebody of the demo does it, before there is a database to do it in."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple


class Ref(NamedTuple):
    """Something that only the database has an id for: a member, a species, a kind, a licence."""

    noun: str
    key: str


def member(key: str) -> Ref:
    return Ref("member", key)


@dataclass(frozen=True)
class Deed:
    """Who does what, when; and when the server hears of it."""

    received_at: datetime
    at: datetime
    by: str
    kind: str
    body: dict[str, Any]
