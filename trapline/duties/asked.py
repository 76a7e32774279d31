"""Duties that rules ask for beside visits: reports, seals, pulls before a close, filings."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from uuid import UUID

from trapline.binding import asks
from trapline.binding.asks import Asked, Caught, Held, Standing
from trapline.binding.matters import version_rules
from trapline.binding.profiles import Profile
from trapline.binding.world import World, version_at
from trapline.ground import sql
from trapline.journal.team_settings import put_setting
from trapline.lines.models import Line
from trapline.people.models import Licence, Team
from trapline.rulebook.models import Version

UNDER = "asked-under"  # the rule stamp under which a team's catches and licences were last asked


def bring_in_line(
    team: UUID,
    wanted: Sequence[Asked],
    moment: datetime,
    *,
    sets: Sequence[UUID] = (),
    catches: Sequence[UUID] = (),
    licences: Sequence[UUID] = (),
    carried: Mapping[UUID, UUID | None] | None = None,
) -> None:
    """Make what is wanted of these subjects their open duties. One statement.

    carried: catches that a correction replaced, each with the catch that tells of the same animal
    now (None: no animal was caught).
    """
    handed = carried or {}
    sql.run(
        "trapline.duties",
        "asked",
        {
            "team": team,
            "kinds": [one.kind for one in wanted],
            "subjects": [one.subject for one in wanted],
            "asked": [one.asked for one in wanted],
            "rules": [one.rule for one in wanted],
            "dues": [one.due_at for one in wanted],
            "bases": [one.basis_at for one in wanted],
            "whos": [one.who for one in wanted],
            "lines": [one.line for one in wanted],
            "sets": list(sets),
            "catches": list(catches),
            "licences": list(licences),
            "old": list(handed),
            "new": list(handed.values()),
            "moment": moment,
        },
    )


def refresh_pulls(team: UUID, sets: Sequence[UUID], world: World) -> None:
    """Bring the pulls before the close of some sets in line. Three statements, two without rules

    on seasons.
    """
    version = version_at(team, world)
    rules = version_rules(version) if version is not None else None
    wanted: list[Asked] = []
    if rules is not None and rules.of("season"):
        values = {"team": team, "sets": list(sets)}
        for row in sql.rows("trapline.binding", "standing", values):
            one = Standing(row[0], row[1], Profile.read(row[2]), row[3], row[4])
            wanted += asks.of_set(rules, one, world.moment)
    bring_in_line(team, wanted, world.moment, sets=sets)


def reckon_asked(team: UUID, world: World) -> None:
    """Ask anew of a team's catches and licences, by the rules in force now.

    A catch is asked of when it was made under the version in force, or when it still has an open
    duty: a new rule asks nothing of what lies before it.
    """
    stamp = Team.objects.values_list("rule_stamp", flat=True).get(id=team)
    version = version_at(team, world)
    if version is not None:
        _ask_catches(team, version, world)
        ask_licences(team, world)
    put_setting(team, UNDER, stamp)


def ask_licences(team: UUID, world: World, licences: Sequence[UUID] | None = None) -> None:
    """Bring what is to be filed for some licences (for all, if None) in line. Five statements."""
    version = version_at(team, world)
    if version is None:
        return
    rules, since, tz = version_rules(version), _since(version), _clock(team)
    rows = Licence.objects.filter(team_id=team)
    if licences is not None:
        rows = rows.filter(id__in=licences)
    names = ("id", "kind", "valid_from", "valid_until", "holder_id")
    held = [Held(*row) for row in rows.values_list(*names)]
    wanted = [
        one
        for licence in held
        for one in asks.of_licence(rules, licence, tz, world.moment)
        # A day that had passed before the book was in force is nobody's to keep.
        if one.due_at >= since
    ]
    bring_in_line(team, wanted, world.moment, licences=[one.id for one in held])


def _ask_catches(team: UUID, version: UUID, world: World) -> None:
    rules = version_rules(version)
    rows = sql.rows("trapline.duties", "caught", {"team": team, "version": version})
    caught = [
        Caught(key, at, Profile.read(text), code, meant, kept, frozenset(marked), line, who)
        for key, at, text, code, meant, kept, marked, line, who in rows
    ]
    wanted = [one for catch in caught for one in asks.of_catch(rules, catch)]
    bring_in_line(team, wanted, world.moment, catches=[one.id for one in caught])


def _since(version: UUID) -> datetime:
    at: datetime = Version.objects.values_list("at", flat=True).get(id=version)
    return at


def _clock(team: UUID) -> str:
    found = Line.objects.filter(team_id=team).order_by("id").values_list("tz", flat=True).first()
    return found or "UTC"
