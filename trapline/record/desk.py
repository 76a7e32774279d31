"""Where every act comes in: kept once, applied in one transaction, or kept for a person to see."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.db.models import F

from trapline.ground import clock
from trapline.ground.errors import Held, NeedsReview, NotYours, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, ActState
from trapline.people.models import Team
from trapline.people.rights import Actor, access_member
from trapline.record import envelope as env
from trapline.record.acting import Desk, Kind
from trapline.record.kinds import kind_of

KNOWN, CONFLICT, REFUSED = "known", "conflict", "refused"


@dataclass(frozen=True)
class Outcome:
    """What became of an act: applied, known, conflict, held, needs_review or refused."""

    act: UUID | None
    state: str
    problems: tuple[Problem, ...] = ()
    was: str = ""  # for a known act, the state it has


def take(
    sender: Actor, raw: bytes, *, received_at: datetime | None = None, skew_s: float = 0.0
) -> Outcome:
    """Take an act as a phone sent it. Whatever is well formed is kept; one transaction."""
    now = received_at or clock.now()
    try:
        letter = env.parse(raw)
        kind = kind_of(letter.kind, letter.version)
        body = kind.read(letter.body, letter.version)
    except Refused as error:
        return Outcome(None, REFUSED, error.problems)
    try:
        return _keep_and_apply(sender, letter, kind, body, raw, now, skew_s, keep_failures=True)
    except NotYours:
        return Outcome(letter.id, ActState.HELD)


def submit(
    sender: Actor,
    kind_name: str,
    body: dict[str, Any],
    *,
    act_id: UUID | None = None,
    at: datetime | None = None,
    now: datetime | None = None,
) -> Outcome:
    """Take an act from a form or a REST call, by someone who is there to mend it.

    Raises Refused, NeedsReview or Held instead of keeping what was not applied. An act whose id is
    known gives `known` or `conflict`, as from a phone.
    """
    moment = now or clock.now()
    made = act_id or new_id()
    raw = env.build(act=made, kind=kind_name, team=sender.team_slug, at=at or moment, body=body)
    letter = env.parse(raw)
    kind = kind_of(kind_name, letter.version)
    return _keep_and_apply(
        sender,
        letter,
        kind,
        kind.read(letter.body, letter.version),
        raw,
        moment,
        0.0,
        keep_failures=False,
    )


def _keep_and_apply(
    sender: Actor,
    letter: env.Envelope,
    kind: Kind,
    body: Any,
    raw: bytes,
    now: datetime,
    skew_s: float,
    *,
    keep_failures: bool,
) -> Outcome:
    with transaction.atomic(), team_scope(sender.team):
        actor = access_member(sender, letter.acted_by)
        at = letter.wall_at - timedelta(seconds=skew_s)
        flagged = env.clock_disagrees(letter, at, now)
        desk = Desk(actor, sender, letter.id, at, now, flagged)
        if not _insert(desk, letter, raw, skew_s):
            return _met_before(letter.id, sender.team, raw)
        problem: Problem | None = None
        try:
            # The savepoint lets the facts go and the act stay when it cannot be applied.
            with transaction.atomic():
                _apply(desk, letter, kind, body)
        except NeedsReview as error:
            problem, state, waits = error.problem, ActState.REVIEW, None
            failure: Exception = error
        except Held as error:
            problem, state, waits = Problem(error.field, "waits_for"), ActState.HELD, error.needs
            failure = error
        except IntegrityError as error:
            failure = NeedsReview("body", _constraint_code(error))
            problem, state, waits = failure.problem, ActState.REVIEW, None
        if problem is None:
            _count_change(sender.team)
            return Outcome(letter.id, ActState.APPLIED)
        if not keep_failures:
            raise failure
        _set_aside(letter.id, state, problem, waits)
        return Outcome(letter.id, state, (problem,))


def _apply(desk: Desk, letter: env.Envelope, kind: Kind, body: Any) -> None:
    if desk.at > desk.received_at + env.TOLERATED and not desk.overruled:
        raise NeedsReview("wall_at", "time_ahead", at=desk.at.isoformat())
    if letter.needs:
        applied = set(
            Act.objects.filter(id__in=letter.needs, state=ActState.APPLIED).values_list(
                "id", flat=True
            )
        )
        for needed in letter.needs:
            if needed not in applied:
                raise Held("needs", needed)
    kind.apply(desk, body)


def _insert(desk: Desk, letter: env.Envelope, raw: bytes, skew_s: float) -> bool:
    """Write the act down, once. False when its id is already in the book."""
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO journal_act (id, team_id, kind, version, acted_by_id, sent_by_id, needs,"
            " body, sha256, acted_at, wall_at, skew_s, mono_s, session, fix_at, clock_flagged,"
            " received_at, state) VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s,"
            " %s, %s, %s, 'applied') ON CONFLICT (id) DO NOTHING",
            [
                letter.id, desk.team, letter.kind, letter.version, desk.actor.member,
                desk.sender.member, letter.needs, raw, env.digest(raw), desk.at, letter.wall_at,
                skew_s, letter.mono_s, letter.session, letter.fix_at, desk.clock_flagged,
                desk.received_at,
            ],
        )  # fmt: skip
        return bool(cursor.rowcount)


def _met_before(act: UUID, team: UUID, raw: bytes) -> Outcome:
    seen = Act.objects.filter(id=act).values_list("sha256", "state").first()
    if seen is not None and bytes(seen[0]) == env.digest(raw):
        return Outcome(act, KNOWN, was=seen[1])
    return Outcome(act, CONFLICT, (Problem("id", "id_with_other_content"),))


def _set_aside(act: UUID, state: str, problem: Problem, waits: UUID | None) -> None:
    reason = {"field": problem.field, "code": problem.code, "values": problem.values}
    Act.objects.filter(id=act).update(state=state, reason=reason, waits_for=waits)


def _count_change(team: UUID) -> None:
    # Last in the transaction: the team's row is locked only until the commit that follows.
    Team.objects.filter(id=team).update(change_count=F("change_count") + 1)


def _constraint_code(error: IntegrityError) -> str:
    name = getattr(getattr(error.__cause__, "diag", None), "constraint_name", None)
    return f"constraint_{name}" if name else "constraint"
