"""A phone's queue comes in: each act in its own transaction, in order, answered after commit."""

import logging
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import InterfaceError, OperationalError, transaction

from trapline.ground.errors import Problem, Refused
from trapline.journal.models import ActState, Stray
from trapline.people.rights import Actor, teams_of
from trapline.record import envelope as env
from trapline.record.desk import CONFLICT, KNOWN, REFUSED, Outcome, take
from trapline.record.kinds import kind_of
from trapline.record.owed import Owed

MOST_ACTS = 200
_log = logging.getLogger(__name__)


def receive(
    person: Any, letters: Sequence[bytes], *, sent_at: datetime, received_at: datetime
) -> list[Outcome]:
    """Take a batch in. sent_at is the device's clock as it sent: its skew corrects every act.

    One statement for the person's teams, then each act by itself. A crash between two acts leaves
    each either answered for good or still owed. Findings of many acts are reckoned at the end.
    """
    owed = Owed(received_at) if len(letters) > 1 else None
    skew_s = (sent_at - received_at).total_seconds()
    teams = {actor.team_slug: actor for actor in teams_of(person)}
    read = [_read(raw) for raw in letters]
    doubtful = env.set_back(one for one in read if not isinstance(one, Outcome))
    outcomes = []
    for raw, letter in zip(letters, read, strict=True):
        if isinstance(letter, Outcome):
            outcomes.append(letter)
            continue
        sender = teams.get(letter.team)
        if sender is None:
            outcomes.append(_stray(person, letter, raw, skew_s, received_at))
        else:
            flagged = letter.id in doubtful
            outcomes.append(_take(sender, letter, raw, received_at, skew_s, owed, flagged))
    if owed is not None:
        _settle(owed)
    return outcomes


def _read(raw: bytes) -> env.Envelope | Outcome:
    """The act's envelope, or why it is refused."""
    try:
        return env.parse(raw)
    except Refused as error:
        return Outcome(None, REFUSED, error.problems)


def _settle(owed: Owed) -> None:
    """A fault of ours in the findings is logged: the acts are in, and watch/ has their sets."""
    try:
        owed.settle()
    except (OperationalError, InterfaceError):
        raise
    except Exception:
        _log.exception("Fault while reckoning the findings of a batch")


def _take(
    sender: Actor,
    letter: env.Envelope,
    raw: bytes,
    received_at: datetime,
    skew_s: float,
    owed: Owed | None,
    flagged: bool,
) -> Outcome:
    """One act. A fault of ours in it is logged and answered; it does not hold up the rest.

    Without a database nothing can be answered: that is raised, and the phone sends all again.
    """
    try:
        outcome = take(
            sender, raw, letter=letter, received_at=received_at, skew_s=skew_s, owed=owed,
            flagged=flagged,
        )  # fmt: skip
    except (OperationalError, InterfaceError):
        raise
    except Exception:
        _log.exception("Fault while taking act %s of kind %s", letter.id, letter.kind)
        outcome = Outcome(letter.id, REFUSED, (Problem("body", "server"),))
    if owed is not None:
        owed.close_act(applied=outcome.state == ActState.APPLIED)
    return outcome


def _stray(
    person: Any, letter: env.Envelope, raw: bytes, skew_s: float, received_at: datetime
) -> Outcome:
    try:
        kind_of(letter.kind, letter.version).read(letter.body, letter.version)
    except Refused as error:
        return Outcome(letter.id, REFUSED, error.problems)
    with transaction.atomic():
        kept, fresh = Stray.objects.get_or_create(
            person=person,
            act=letter.id,
            defaults={
                "team_said": letter.team,
                "body": raw,
                "sha256": env.digest(raw),
                "wall_at": letter.wall_at,
                "skew_s": skew_s,
                "received_at": received_at,
            },
        )
    if fresh:
        return Outcome(letter.id, ActState.HELD, (Problem("team", "waits_for"),))
    if bytes(kept.sha256) == env.digest(raw):
        return Outcome(letter.id, KNOWN, was=ActState.HELD)
    return Outcome(letter.id, CONFLICT, (Problem("id", "id_with_other_content"),))
