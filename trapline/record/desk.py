"""Where every act comes in: kept once, applied in one transaction, or kept for a person to see."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import DataError, IntegrityError, transaction

from trapline.ground import clock, sql
from trapline.ground.errors import Held, NeedsReview, NotYours, Problem, Refused
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.journal.models import Act, ActState
from trapline.people.change import count_change
from trapline.people.rights import Actor, access_member
from trapline.record import envelope as env
from trapline.record.acting import Desk, Kind
from trapline.record.kinds import kind_of
from trapline.record.owed import Owed

KNOWN, CONFLICT, REFUSED = "known", "conflict", "refused"
SET_ASIDE = (NeedsReview, Held, Refused, IntegrityError, DataError)  # no fault of ours


@dataclass(frozen=True)
class Outcome:
    """What became of an act: applied, known, conflict, held, needs_review or refused."""

    act: UUID | None
    state: str
    problems: tuple[Problem, ...] = ()
    was: str = ""  # for a known act, the state it has


def take(
    sender: Actor,
    raw: bytes,
    *,
    letter: env.Envelope | None = None,
    received_at: datetime | None = None,
    skew_s: float = 0.0,
    owed: Owed | None = None,
    flagged: bool = False,
) -> Outcome:
    """Take an act as a phone sent it. Whatever is well formed is kept; one transaction.

    letter: its envelope, where it has been read already. owed: of a batch, which reckons the
    findings of its sets at its end. flagged: the acts beside it show that its clock disagrees.
    """
    now = received_at or clock.now()
    try:
        letter = letter or env.parse(raw)
    except Refused as error:
        return Outcome(None, REFUSED, error.problems)
    try:
        kind = kind_of(letter.kind, letter.version)
        body = kind.read(letter.body, letter.version)
    except Refused as error:
        return Outcome(letter.id, REFUSED, error.problems)
    return _keep_and_apply(
        sender, letter, kind, body, raw, now, skew_s, keep_failures=True, owed=owed, flagged=flagged
    )


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


def retry(sender: Actor, act: UUID, moment: datetime) -> Outcome:
    """Try a held act again, as it was sent. One that still cannot be applied is kept."""
    with transaction.atomic(), team_scope(sender.team):
        held = Act.objects.select_for_update().filter(id=act, state=ActState.HELD).first()
        if held is None:
            return Outcome(act, KNOWN)
        letter = env.parse(bytes(held.body))
        kind = kind_of(letter.kind, letter.version)
        try:
            actor = access_member(sender, letter.acted_by)
        except NotYours:
            return Outcome(act, ActState.HELD)
        desk = Desk(actor, sender, act, held.acted_at, moment, held.clock_flagged)
        body = kind.read(letter.body, letter.version)
        tried = _try(desk, letter, kind, body)
        if tried is None:
            Act.objects.filter(id=act).update(state=ActState.APPLIED, settled_at=moment)
            count_change(sender.team)
            return Outcome(act, ActState.APPLIED)
        _set_aside(act, tried)
        return Outcome(act, tried.state, (tried.problem,))


@dataclass(frozen=True)
class _Aside:
    """Why an act was not applied, and what becomes of it."""

    state: str
    problem: Problem
    waits: UUID | None
    error: Exception


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
    owed: Owed | None = None,
    flagged: bool = False,
) -> Outcome:
    """One transaction where the act can be applied; one more that keeps it where it cannot."""
    at = letter.wall_at - timedelta(seconds=skew_s)
    flagged = flagged or env.clock_disagrees(letter, at, now)
    try:
        actor, stranger = access_member(sender, letter.acted_by), False
    except NotYours:
        actor, stranger = sender, True
    desk = Desk(actor, sender, letter.id, at, now, flagged, owed=owed)
    try:
        with transaction.atomic(), team_scope(sender.team):
            if not _insert(desk, letter, raw, skew_s):
                return _met_before(letter.id, raw)
            if stranger:
                raise Held("acted_by", letter.acted_by or letter.id)
            _apply(desk, letter, kind, body)
            _last(desk)
        return Outcome(letter.id, ActState.APPLIED)
    except SET_ASIDE as error:
        tried = _aside(error)
    if not keep_failures:
        raise tried.error
    with transaction.atomic(), team_scope(sender.team):
        if not _insert(desk, letter, raw, skew_s):
            return _met_before(letter.id, raw)
        _set_aside(letter.id, tried)
    return Outcome(letter.id, tried.state, (tried.problem,))


def _last(desk: Desk) -> None:
    """The team's row is locked last. One statement, with what a batch owes for this act."""
    if desk.owed is None or not desk.owed.write_down(desk.team, desk.received_at):
        count_change(desk.team)


def _try(desk: Desk, letter: env.Envelope, kind: Kind, body: Any) -> _Aside | None:
    """Apply the act; None when it was. Its facts go and the act stays when it cannot be."""
    try:
        with transaction.atomic():
            _apply(desk, letter, kind, body)
    except SET_ASIDE as error:
        return _aside(error)
    return None


def _aside(error: Exception) -> _Aside:
    if isinstance(error, NeedsReview):
        return _Aside(ActState.REVIEW, error.problem, None, error)
    if isinstance(error, Held):
        return _Aside(ActState.HELD, Problem(error.field, "waits_for"), error.needs, error)
    if isinstance(error, Refused):
        return _Aside(ActState.REVIEW, error.problems[0], None, error)
    found = NeedsReview("body", _constraint_code(error))
    return _Aside(ActState.REVIEW, found.problem, None, found)


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
    values = {
        "id": letter.id, "team": desk.team, "kind": letter.kind, "version": letter.version,
        "acted_by": desk.actor.member, "sent_by": desk.sender.member, "needs": letter.needs,
        "body": raw, "sha256": env.digest(raw), "acted_at": desk.at, "wall_at": letter.wall_at,
        "skew_s": skew_s, "mono_s": letter.mono_s, "session": letter.session,
        "fix_at": letter.fix_at, "clock_flagged": desk.clock_flagged,
        "received_at": desk.received_at,
    }  # fmt: skip
    return bool(sql.run("trapline.record", "keep", values))


def _met_before(act: UUID, raw: bytes) -> Outcome:
    seen = Act.objects.filter(id=act).values_list("sha256", "state").first()
    if seen is not None and bytes(seen[0]) == env.digest(raw):
        return Outcome(act, KNOWN, was=seen[1])
    return Outcome(act, CONFLICT, (Problem("id", "id_with_other_content"),))


def _set_aside(act: UUID, aside: _Aside) -> None:
    problem = aside.problem
    reason = {"field": problem.field, "code": problem.code, "values": problem.values}
    Act.objects.filter(id=act).update(state=aside.state, reason=reason, waits_for=aside.waits)


def _constraint_code(error: Exception) -> str:
    name = getattr(getattr(error.__cause__, "diag", None), "constraint_name", None)
    return f"constraint_{name}" if name else "constraint"
