"""The sweep: whatever has come due is marked, dated when it fell due, and told, exactly once."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from trapline.binding.asks import OF_CATCH
from trapline.binding.bind import bind
from trapline.binding.world import World
from trapline.duties.models import Kind
from trapline.duties.refresh import advance, instants, refresh_checks
from trapline.duties.renewals import refresh_renewals
from trapline.findings.animals import refresh_animals
from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.people.change import count_change
from trapline.watch.redue import redue, redue_team
from trapline.watch.turning import turn_rules

BATCH = 500


def sweep(moment: datetime, *, batch: int = BATCH) -> int:
    """Take every duty whose moment has come; gives how many were taken.

    Any number may run at once: each takes rows the others have not locked. A crash leaves a batch
    as it was. Sets whose rules have changed are reckoned again before anything is marked.
    """
    taken = 0
    if turn_rules(moment):
        redue(moment)
    open_renewals(moment)
    for team in teams_with_work(moment):
        redue_team(team, moment)
        while count := sweep_batch(team, moment, batch):
            taken += count
    return taken


def open_renewals(moment: datetime) -> None:
    """Ask for the renewal of permissions for which no act has asked. An all-team statement."""
    for (team,) in sql.rows("trapline.watch", "unrenewed_teams", {"day": moment.date()}):
        with transaction.atomic(), team_scope(team):
            refresh_renewals(team, moment=moment)
            count_change(team)


def teams_with_work(moment: datetime) -> list[UUID]:
    """All teams with a duty to take. An all-team statement."""
    return [team for (team,) in sql.rows("trapline.watch", "teams", {"moment": moment})]


def sweep_batch(team: UUID, moment: datetime, batch: int = BATCH) -> int:
    """One batch of one team in one transaction: four statements, five if a due moment had

    moved, two more where something asked of an animal came due.
    """
    with transaction.atomic(), team_scope(team):
        rows = sql.rows("trapline.watch", "claim", {"team": team, "moment": moment, "batch": batch})
        if not rows:
            return 0
        due = _recomputed(team, rows, moment)
        advance(team, [row[0] for row in rows], due, moment)
        count_change(team)
        if any(row[1] in OF_CATCH for row in rows):
            refresh_animals(team, World(moment))
    return len(rows)


def _recomputed(
    team: UUID, rows: list[tuple[UUID, str, UUID | None, datetime | None]], moment: datetime
) -> list[datetime | None]:
    """The due moment of each claimed duty as it is now; check duties that moved are set right."""
    sets = [row[2] for row in rows if row[1] == Kind.CHECK and row[2] is not None]
    stored = {row[2]: row[3] for row in rows if row[1] == Kind.CHECK}
    if not sets:
        return [row[3] for row in rows]
    bound = bind(team, sets, World(moment))
    now_due = dict(zip(bound.sets.ids, instants(bound.due_us), strict=True))
    moved = [n for n, key in enumerate(bound.sets.ids) if now_due[key] != stored[key]]
    if moved:
        refresh_checks(bound, moment, rows=moved)
    return [now_due.get(row[2], row[3]) if row[1] == Kind.CHECK else row[3] for row in rows]  # type: ignore[arg-type]
