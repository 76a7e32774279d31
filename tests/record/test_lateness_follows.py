"""Whether a duty in the middle of a season was done in time follows the corrected record.

A snare here is to be checked within 24 hours (the invented rulebook of tests/world.py).
"""

from datetime import datetime
from uuid import UUID

import pytest

from tests.record.acting import do
from tests.record.phone import HOUR, check, sent
from tests.world import START, World
from trapline.duties.models import Duty
from trapline.ground.ids import new_id
from trapline.ground.scope import team_scope
from trapline.reports.period import Period
from trapline.reports.yields import yields

LAST = START + 60 * HOUR


def looked(world: World, set_id: UUID, *hours: int) -> list[UUID]:
    made = []
    for hour in hours:
        body = check(set_id)
        do(world.student, "log_check", body, at=START + hour * HOUR)
        made.append(body["check"])
    return made


def in_time(world: World) -> tuple[int, int]:
    """Checks in time, and checks asked, as the yield report has them."""
    with team_scope(world.team):
        (row,) = yields(world.team, Period(), LAST, member=world.student.member)
    return row.checks_in_time, row.checks_asked


def done(world: World) -> list[tuple[float, float | None, float]]:
    """Each done duty: from, due, done, in hours after the placing."""

    def hour(at: datetime | None) -> float | None:
        return None if at is None else (at - START) / HOUR

    with team_scope(world.team):
        rows = Duty.objects.filter(kind="check", state="done").order_by("basis_at")
        return [(hour(one.basis_at), hour(one.due_at), hour(one.done_at)) for one in rows]  # type: ignore[misc]


WITHOUT = [(0, 24, 20), (20, 44, 60)]
WITH = [(0, 24, 20), (20, 44, 40), (40, 64, 60)]


@pytest.mark.parametrize("how", ["withdrawn", "not reached"])
def test_a_visit_that_falls_away_between_two_others_makes_the_next_one_late(
    world: World, how: str
) -> None:
    set_id = world.set("S1")
    checks = looked(world, set_id, 20, 40, 60)
    assert (in_time(world), done(world)) == ((3, 3), WITH)
    said = {"corrects": checks[1], "withdraw": True}
    if how == "not reached":
        missed = check(set_id, found="not_reached", reason="flood", done=[])
        said = {"corrects": checks[1], "check": missed}
    do(world.instructor, "correct_check", said, at=LAST)
    assert (in_time(world), done(world)) == ((1, 2), WITHOUT)


@pytest.mark.parametrize("how", ["came in late", "was corrected"])
def test_a_visit_learned_of_between_two_others_puts_both_duties_right(
    world: World, how: str
) -> None:
    set_id = world.set("S1")
    looked(world, set_id, 20)
    at = START + 40 * HOUR
    missed = check(set_id, found="not_reached", reason="flood", done=[])
    if how == "was corrected":
        do(world.student, "log_check", missed, at=at)
    looked(world, set_id, 60)
    assert (in_time(world), done(world)) == ((1, 2), WITHOUT)
    if how == "came in late":
        sent(world, world.student, "log_check", check(set_id), at, received=LAST)
    else:
        right = {"corrects": missed["check"], "check": check(set_id, check=new_id())}
        do(world.instructor, "correct_check", right, at=LAST)
    assert (in_time(world), done(world)) == ((3, 3), WITH)


def test_the_last_visit_withdrawn_leaves_the_one_before_and_an_open_duty(world: World) -> None:
    checks = looked(world, world.set("S1"), 20, 40)
    do(world.instructor, "correct_check", {"corrects": checks[1], "withdraw": True}, at=LAST)
    assert done(world) == [(0, 24, 20)]
    assert in_time(world) == (1, 2)  # the open one fell due at hour 44
