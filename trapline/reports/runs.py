"""Files that take long: asked for, made by a worker, kept. The table is the queue."""

from __future__ import annotations

import time
from datetime import datetime, timedelta
from uuid import UUID

from django.db import close_old_connections, connection, transaction

from trapline.ground import clock, sql
from trapline.ground.scope import team_scope
from trapline.ground.wake import MAKE_FILES, wake
from trapline.people.rights import Actor
from trapline.reports.filed import content
from trapline.reports.models import Filing, Run, RunState
from trapline.reports.papers.pdf import Cancelled, as_pdf
from trapline.reports.snapshot import Change, differences

# A worker says how far it is at least so often; silent for longer, it died.
LOST_AFTER = timedelta(minutes=6)
MOST_ATTEMPTS = 3
_TELL_EVERY_S = 1.0


def ask(actor: Actor, filing: Filing, moment: datetime) -> Run:
    """The filing's PDF: the one there is, or a new run. One that failed is asked for again."""
    with transaction.atomic():
        run: Run
        run, new = Run.objects.get_or_create(
            team_id=actor.team,
            filing=filing,
            form="pdf",
            defaults={"asked_by_id": actor.member, "asked_at": moment},
        )
        again = (RunState.FAILED, RunState.CANCELLED)
        if run.state in again:
            Run.objects.filter(id=run.id, state__in=again).update(
                state=RunState.WAITING, attempts=0, error="", asked_at=moment
            )
            run.refresh_from_db()
        if new or run.state == RunState.WAITING:
            wake(MAKE_FILES)
    return run


def cancel(run: UUID) -> bool:
    """Stop a run that is not done. The worker finds out at its next page."""
    owed = (RunState.WAITING, RunState.RUNNING)
    return bool(Run.objects.filter(id=run, state__in=owed).update(state=RunState.CANCELLED))


def make_owed() -> int:
    """Make what is owed, one after the other; gives how many files were made."""
    made = 0
    while (taken := _take()) is not None:
        made += _make(*taken)
    return made


def _take() -> tuple[UUID, UUID, int] | None:
    """Take the next run and commit, before anything is made. An all-team statement."""
    moment = clock.now()
    values = {"moment": moment, "lost_before": moment - LOST_AFTER, "most": MOST_ATTEMPTS}
    with transaction.atomic():
        found = sql.rows("trapline.reports", "owed", values)
    return (found[0][0], found[0][1], found[0][2]) if found else None


def _make(run: UUID, team: UUID, attempt: int) -> int:
    with team_scope(team):
        filing = Filing.objects.select_related("amends").get(
            id=Run.objects.values_list("filing_id", flat=True).get(id=run)
        )
        mine = Run.objects.filter(id=run, state=RunState.RUNNING, attempts=attempt)
        try:
            made = as_pdf(
                content(filing), filing.sha256, changes=changes_of(filing),
                progress=_Teller(team, run, attempt),
            )  # fmt: skip
        except Cancelled:
            return 0
        except Exception as error:  # whatever it was, the run says so and stays
            state = RunState.FAILED if attempt >= MOST_ATTEMPTS else RunState.WAITING
            mine.update(state=state, error=f"{type(error).__name__}: {error}"[:500])
            return 0
        return int(mine.update(state=RunState.DONE, file=made, made_at=clock.now(), error=""))


def changes_of(filing: Filing) -> list[Change]:
    """What an amended report says otherwise than the one before it."""
    return differences(content(filing.amends), content(filing)) if filing.amends else []


class _Teller:
    """Writes down how far a run is, and asks whether it is still wanted. Runs in a thread of its
    own, with a connection of its own."""

    def __init__(self, team: UUID, run: UUID, attempt: int) -> None:
        self.team, self.run, self.attempt = team, run, attempt
        self.told_at = 0.0

    def __call__(self, page: int) -> bool:
        if time.monotonic() - self.told_at < _TELL_EVERY_S:
            return True
        self.told_at = time.monotonic()
        close_old_connections()
        try:
            with team_scope(self.team):
                wanted = Run.objects.filter(
                    id=self.run, state=RunState.RUNNING, attempts=self.attempt
                ).update(pages_done=page, taken_at=clock.now())
        finally:
            connection.close()
        return bool(wanted)
