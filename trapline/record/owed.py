"""Of a batch of acts: the sets whose findings are reckoned once, at its end, not after each act."""

import time
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from trapline.binding.world import World
from trapline.findings.refresh import refresh_findings
from trapline.ground import sql
from trapline.ground.scope import team_scope
from trapline.ground.wake import REDUE, wake
from trapline.people.change import count_change
from trapline.standing.models import SetState


class Owed:
    """Each act writes down, in its own transaction, that its set is to be looked at now.

    So a batch that breaks off owes nothing that watch/ would not find and do.
    """

    def __init__(self, received_at: datetime) -> None:
        self._received_at, self._since = received_at, time.monotonic()
        self._noted: list[tuple[UUID, UUID, UUID, bool]] = []  # by the act on the desk
        self._written = 0  # so many of these
        self._last: dict[UUID, dict[UUID, UUID]] = {}  # per team and set: the newest act
        self._caught: dict[UUID, set[UUID]] = {}

    def note(self, team: UUID, set_id: UUID, act: UUID, *, caught: bool) -> None:
        """The findings of a set may have changed by this act."""
        self._noted.append((team, set_id, act, caught))

    def write_down(self, team: UUID, moment: datetime) -> bool:
        """What the act on the desk owes, and its change. One statement; False: it owes none.

        The last an act does; one that sends it with what it writes need not be asked again.
        """
        if len(self._noted) > self._written:
            sets = [set_id for _, set_id, _, _ in self._noted]
            sql.run("trapline.record", "owe_looks", {"team": team, "sets": sets, "moment": moment})
            self._written = len(self._noted)
        return bool(self._noted)

    def close_act(self, *, applied: bool) -> None:
        """The act on the desk has committed, or is not in the record: then nothing came of it."""
        for team, set_id, act, caught in self._noted if applied else ():
            self._last.setdefault(team, {})[set_id] = act
            if caught:
                self._caught.setdefault(team, set()).add(set_id)
        self._noted, self._written = [], 0

    def settle(self) -> None:
        """Reckon what is owed. Five statements a team, whatever the number of acts."""
        for team, last in self._last.items():
            caught = self._caught.get(team, set())
            with transaction.atomic(), team_scope(team):
                states = SetState.objects.select_for_update(no_key=True).filter(set_id__in=last)
                sets = list(states.order_by("id").values_list("set_id", flat=True))
                # Others may have acted since the batch came in: findings are as of now.
                passed = timedelta(seconds=time.monotonic() - self._since)
                world = World(self._received_at + passed)
                refresh_findings(team, sets, world, last, again=caught)
                count_change(team)
                if caught:
                    wake(REDUE)
        self._last, self._caught = {}, {}
