"""Zones over time: what a version's outlines do to the rows that other versions left."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.contrib.gis.geos import MultiPolygon
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange
from django.db.models import Q

from trapline.land.models import Zone
from trapline.rulebook import outline
from trapline.rulebook.schema import Document

Bound = datetime | None  # None: without end


@dataclass
class _Work:
    """Rows to write, gathered so that each kind is one statement."""

    changed: list[Zone] = field(default_factory=list)
    new: list[Zone] = field(default_factory=list)


def write_zones(
    team: UUID, document: Document, was: Iterable[str], start: datetime, end: Bound
) -> None:
    """Make the document's zones those in force from `start` up to `end`. Three statements at most.

    `was`: codes of the version before; what it had and this one has not ends at `start`. A row
    that stands as before is kept; one with another outline or name is cut, and a new row
    opened. A row that this leaves no time at all stays, for the catches that point to it, with
    an empty range.
    """
    drawn = {zone.code: (zone.name, outline.geometry(zone.area)) for zone in document.zones}
    span = DateTimeTZRange(start, end)
    standing = list(
        Zone.objects.filter(
            Q(code__in={*drawn, *was}), during__overlap=span, team_id=team
        ).order_by("during")
    )
    work = _Work()
    kept: dict[str, list[Zone]] = {}
    for row in standing:
        if row.code in drawn and _as_before(row, drawn[row.code]):
            kept.setdefault(row.code, []).append(row)
        else:
            _cut(row, start, end, work)
    for code, shape in drawn.items():
        for since, until in _gaps(kept.get(code, []), start, end):
            work.new.append(_row(team, code, shape, since, until))
    if work.changed:
        Zone.objects.bulk_update(work.changed, ["during"])
    if work.new:
        Zone.objects.bulk_create(work.new)


def _as_before(row: Zone, drawn: tuple[str, MultiPolygon]) -> bool:
    return row.name == drawn[0] and outline.same(row.area, drawn[1])


def _cut(row: Zone, start: datetime, end: Bound, work: _Work) -> None:
    lower, upper = row.during.lower, row.during.upper
    goes_on = end is not None and (upper is None or end < upper)
    if lower is None or lower < start:
        row.during = DateTimeTZRange(lower, start)
        if goes_on:
            work.new.append(_row(row.team_id, row.code, (row.name, row.area), end, upper))
    elif goes_on:
        row.during = DateTimeTZRange(end, upper)
    else:
        row.during = DateTimeTZRange(empty=True)
    work.changed.append(row)


def _gaps(kept: list[Zone], start: datetime, end: Bound) -> Iterable[tuple[datetime, Bound]]:
    """The times between `start` and `end` that no kept row (in order of time) covers."""
    at: Bound = start
    for row in kept:
        lower, upper = row.during.lower, row.during.upper
        if at is not None and lower is not None and at < lower:
            yield at, lower
        at = upper
        if at is None:
            return
    if at is not None and (end is None or at < end):
        yield at, end


def _row(
    team: UUID, code: str, drawn: tuple[str, MultiPolygon], since: Bound, until: Bound
) -> Zone:
    during = DateTimeTZRange(since, until)
    return Zone(team_id=team, code=code, name=drawn[0], area=drawn[1], during=during)
