"""What a rulebook would change, before it is taken in."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

from trapline.rulebook import outline
from trapline.rulebook.export import document_of
from trapline.rulebook.matters import Rule
from trapline.rulebook.models import Version
from trapline.rulebook.parts import Part
from trapline.rulebook.schema import Document
from trapline.rulebook.selectors import version_in_force
from trapline.rulebook.shape import Authority, Species, Zone

T = TypeVar("T", bound=Part)


@dataclass(frozen=True)
class Change(Generic[T]):
    """One item that stays but is not as it was: `fields` says in what."""

    was: T
    now: T
    fields: tuple[str, ...]


@dataclass(frozen=True)
class Changes(Generic[T]):
    """What comes, goes, and is altered, in the order of the documents."""

    added: tuple[T, ...]
    changed: tuple[Change[T], ...]
    removed: tuple[T, ...]

    def __bool__(self) -> bool:
        return bool(self.added or self.changed or self.removed)


@dataclass(frozen=True)
class Diff:
    """A document against the version it would take over from (None: the first)."""

    against: Version | None
    until: datetime | None  # when a version already taken in takes over in turn
    authorities: Changes[Authority]
    species: Changes[Species]
    zones: Changes[Zone]
    rules: Changes[Rule]

    def __bool__(self) -> bool:
        return bool(self.authorities or self.species or self.zones or self.rules)


def difference(team: UUID, document: Document) -> Diff:
    """What `document` would change on the day it comes into force. Two statements, no writing."""
    against = version_in_force(team, document.in_force_from)
    later = Version.objects.filter(team_id=team, at__gt=document.in_force_from)
    until = later.order_by("at").values_list("at", flat=True).first()
    old = document_of(against) if against is not None else None
    return Diff(
        against,
        until,
        changes(old.authorities if old else (), document.authorities),
        changes(old.species if old else (), document.species),
        changes(old.zones if old else (), document.zones),
        changes(old.rules if old else (), document.rules),
    )


def changes(was: Sequence[Any], now: Iterable[Any]) -> Changes[Any]:
    """Two lists of items with codes, side by side. A rule's change of form counts as a change."""
    before = {one.code: one for one in was}
    after = {one.code: one for one in now}
    altered = []
    for code, one in after.items():
        if code in before and (fields := tuple(_fields(before[code], one))):
            altered.append(Change(before[code], one, fields))
    return Changes(
        tuple(one for code, one in after.items() if code not in before),
        tuple(altered),
        tuple(one for code, one in before.items() if code not in after),
    )


def _fields(was: Any, now: Any) -> Iterable[str]:
    for name in type(now).model_fields:
        if not _same(getattr(was, name), getattr(now, name)):
            yield name


def _same(was: Any, now: Any) -> bool:
    if hasattr(was, "polygons") and hasattr(now, "polygons"):
        return outline.same(outline.geometry(was), outline.geometry(now))
    if isinstance(was, Part) and isinstance(now, Part):
        return was.model_dump() == now.model_dump()
    return bool(was == now)
