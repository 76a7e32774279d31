"""What an officer says: an extension for named sets, a closure by notice, and its end."""

from datetime import timedelta
from typing import Annotated
from uuid import UUID

from pydantic import AwareDatetime, Field, StringConstraints

from trapline.binding.bind import bind
from trapline.binding.world import World
from trapline.duties.pulls import cancel_pulls, open_pulls
from trapline.duties.refresh import refresh_checks
from trapline.ground.errors import Held, NeedsReview
from trapline.ground.wake import REDUE, wake
from trapline.land.models import Zone
from trapline.lines.models import Grant, Set
from trapline.people.change import raise_rule_stamp
from trapline.record.acting import Body, Desk, Kind
from trapline.rulebook.models import Authority, Closure, Reopening, Species

Short = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]
LONGEST = timedelta(days=366)


class GrantExtension(Body):
    """An officer's extension: the sets named have until then, by this authority's rules."""

    sets: list[UUID] = Field(min_length=1, max_length=500)
    authority: UUID
    officer: Short
    number: Short
    until: AwareDatetime


def grant_extension(desk: Desk, body: GrantExtension) -> None:
    _may(desk, "grant_extension")
    if not desk.at < body.until <= desk.at + LONGEST:
        raise NeedsReview("until", "grant_until_when")
    _known(Authority, "authority", body.authority)
    known = set(Set.objects.filter(id__in=body.sets).values_list("id", flat=True))
    for number, one in enumerate(body.sets):
        if one not in known:
            raise Held(f"sets.{number}", one)
    Grant.objects.bulk_create(
        Grant(
            **desk.written(), set_id=one, authority_id=body.authority,
            **body.model_dump(include={"officer", "number", "until"}),
        )
        for one in sorted(known)
    )  # fmt: skip
    raise_rule_stamp(desk.team)
    refresh_checks(
        bind(desk.team, sorted(known), World(desk.received_at)), desk.received_at, act=desk.act
    )
    wake(REDUE)


class CloseByNotice(Body):
    """A species is closed in a zone (left out: everywhere) from a moment, with the notice's grace.

    Sets made for it are to be pulled by the end of the grace.
    """

    closure: UUID
    authority: UUID
    species: UUID
    zone: Annotated[str, Field(max_length=50)] = ""
    from_at: AwareDatetime
    grace_hours: Annotated[float, Field(ge=0, le=24 * 60)] = 0
    reference: Short
    note: Annotated[str, Field(max_length=2000)] = ""


def close_by_notice(desk: Desk, body: CloseByNotice) -> None:
    _may(desk, "close_by_notice")
    if not desk.at - LONGEST <= body.from_at <= desk.at + LONGEST:
        raise NeedsReview("from_at", "notice_when")
    _known(Authority, "authority", body.authority)
    _known(Species, "species", body.species)
    if body.zone and not Zone.objects.filter(code=body.zone).exists():
        raise NeedsReview("zone", "no_such_zone", zone=body.zone)
    pull_by = body.from_at + timedelta(hours=body.grace_hours)
    Closure.objects.create(
        **desk.written(), id=body.closure, authority_id=body.authority, species_id=body.species,
        zone_code=body.zone, from_at=body.from_at, pull_by=pull_by, reference=body.reference,
        note=body.note,
    )  # fmt: skip
    open_pulls(
        desk.team, body.closure, species=body.species, zone=body.zone, basis=desk.at, due=pull_by
    )
    raise_rule_stamp(desk.team)
    wake(REDUE)


class ReopenByNotice(Body):
    """A closure by notice is over, by another notice."""

    closure: UUID
    from_at: AwareDatetime
    reference: Short


def reopen_by_notice(desk: Desk, body: ReopenByNotice) -> None:
    _may(desk, "close_by_notice")
    closed = Closure.objects.filter(id=body.closure).first()
    if closed is None:
        raise Held("closure", body.closure)
    if not closed.from_at < body.from_at <= closed.from_at + LONGEST:
        raise NeedsReview("from_at", "reopened_when")
    if Reopening.objects.filter(closure_id=closed.id).exists():
        raise NeedsReview("closure", "reopened_before")
    Reopening.objects.create(
        **desk.written(), closure_id=closed.id, from_at=body.from_at, reference=body.reference
    )
    cancel_pulls(desk.team, closed.id, desk.received_at)
    raise_rule_stamp(desk.team)
    wake(REDUE)


def _may(desk: Desk, what: str) -> None:
    if not desk.actor.leads:
        raise NeedsReview("reference", "only_leaders", what=what)


def _known(model: type[Authority] | type[Species], field: str, key: UUID) -> None:
    if not model.objects.filter(id=key).exists():
        raise Held(field, key)


KINDS = (
    Kind("grant_extension", {1: GrantExtension}, grant_extension),
    Kind("close_by_notice", {1: CloseByNotice}, close_by_notice),
    Kind("reopen_by_notice", {1: ReopenByNotice}, reopen_by_notice),
)
